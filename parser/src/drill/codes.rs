//! Every remark the drill and rout reader can make.

crate::remark_codes! {
    EMPTY "drill-empty" Fatal "no standard: nothing to read" "Send the drill program again.";
    NOT_A_PROGRAM "drill-not-a-program" Fatal "CNC-7 part programming, program structure" "Send a drill or rout program; this file holds no header, no tool and no coordinate.";

    MISSING_END "drill-missing-end" Error "CNC-7 part programming, M30" "The file may be cut short: send it again, complete.";
    DATA_AFTER_END "drill-data-after-end" Error "CNC-7 part programming, M30" "Check that nothing was lost: what follows the end of the program was not read.";
    MALFORMED "drill-malformed" Error "CNC-7 part programming, command format" "Check the line; what could not be read was passed over.";
    NUMBER_UNREADABLE "drill-number-unreadable" Error "range of this reader, 18 digits" "Check the number; the command it belongs to was dropped.";
    OUT_OF_RANGE "drill-out-of-range" Error "range of this reader, one metre either side" "Check unit, zeros and digits of the program; the hit was dropped.";
    UNIT_MID_FILE "drill-unit-mid-file" Error "CNC-7 part programming, M71 and M72" "Export the program with one unit; the unit it began with was kept.";
    TOOL_UNDECLARED "drill-tool-undeclared" Error "CNC-7 part programming, tool commands" "Declare the tool with its diameter; its hits are kept with unknown size.";
    TOOL_WITHOUT_DIAMETER "drill-tool-without-diameter" Error "CNC-7 part programming, tool commands" "Give the diameter of the tool; its hits are kept with unknown size.";
    TOOL_ZERO "drill-tool-zero-diameter" Error "CNC-7 part programming, tool commands" "Give the diameter of the tool; it was taken as unknown.";
    TOOL_TWICE "drill-tool-twice" Error "CNC-7 part programming, tool commands" "Give each size its own tool number; each hit took the declaration before it.";
    TOOL_NONE "drill-tool-none" Error "CNC-7 part programming, tool commands" "Select a tool before the first coordinate; these hits are kept with unknown size.";
    STORED_PATTERN "drill-stored-pattern" Error "CNC-7 part programming, M99" "Export the program with all its holes in it; those of the stored pattern are missing.";
    COMPENSATION "drill-cutter-compensation" Error "CNC-7 part programming, G41 and G42" "Say which edge is finished: the path was read as programmed, without compensation.";
    ARC_UNDEFINED "drill-arc-undefined" Error "CNC-7 part programming, G02 and G03" "Give the arc a radius (A) or a centre (I, J); it was read as a straight cut.";
    ARC_MISFIT "drill-arc-misfit" Error "CNC-7 part programming, G02 and G03" "Check the centre of the arc; its two ends lie at different radii.";
    PATTERN_CORNERS "drill-pattern-corners" Error "CNC-7 part programming, canned cycles" "Export the pattern as single holes; only its two given corners were read.";
    STEP_WITHOUT_PATTERN "drill-step-without-pattern" Error "CNC-7 part programming, step and repeat" "Begin the pattern with M25; nothing was repeated.";
    CIRCLE_SIZE "drill-circle-size" Error "CNC-7 part programming, G84, G32 and G33" "Check circle and tool diameter; one hole was read at the centre.";

    FORMAT_ASSUMED "drill-format-assumed" Warning "common practice, no source" "State unit, zeros and digits in the header, or confirm this reading.";
    UNIT_CONTRADICTS "drill-unit-contradicts" Warning "CNC-7 part programming, M71 and M72" "Keep one unit and confirm which one is meant.";
    ZEROS_DOUBTFUL "drill-zeros-doubtful" Warning "CNC-7 part programming, INCH and METRIC" "Confirm which zeros are kept: LZ keeps the leading ones, TZ the trailing ones.";
    PICTURE_CONTRADICTS "drill-picture-contradicts" Warning "common practice, no source" "Confirm the number of digits before and behind the point.";
    NUMBER_LONG "drill-number-long" Warning "CNC-7 part programming, number formats" "Check the number of digits of the format.";
    INTEGERS "drill-integers-among-decimals" Warning "XNC format, from memory" "Write every number with a point; numbers without one were taken as whole units.";
    HEADER_MISSING "drill-header-missing" Warning "CNC-7 part programming, M48" "Export the program with a header that states unit, zeros and digits.";
    HEADER_OPEN "drill-header-open" Warning "CNC-7 part programming, M48" "End the header with %; the first coordinate was taken as its end.";
    HEADER_TWICE "drill-header-twice" Warning "CNC-7 part programming, M48" "Send one program in a file; both were read as one.";
    HEADER_WORD "drill-header-word" Warning "CNC-7 part programming, header commands" "Check the line; it was passed over.";
    AXIS_VERSION "drill-axis-version" Warning "CNC-7 part programming, VER" "Confirm which way X and Y run; VER,1 was assumed.";
    ZERO_SHIFT "drill-zero-shift" Warning "CNC-7 part programming, ZA, ZC, ZS" "Confirm the zero point; the shift was not applied.";
    SCALING "drill-scaling" Warning "CNC-7 part programming, M60" "Confirm that no scaling is meant; none was applied.";
    WORK_ZERO "drill-work-zero" Warning "CNC-7 part programming, G93" "Confirm the zero point; everything behind it was moved as told.";
    TEXT "drill-text" Warning "CNC-7 part programming, M97 and M98" "Send the text as single holes; its holes are not in the image.";
    CAMERA "drill-camera" Warning "CNC-7 part programming, alignment commands" "Confirm that no alignment by camera is meant; none was applied.";
    CODE_UNKNOWN "drill-code-unknown" Warning "CNC-7 part programming, command list" "Check the code; it was passed over.";
    ARC_RADIUS "drill-arc-radius" Warning "CNC-7 part programming, G02 and G03" "Check the radius: it is too short for its chord, a semicircle was read.";
    ARC_SIGN "drill-arc-sign" Warning "CNC-7 part programming, G02 and G03" "Check the signs of I and J; the side that fits was taken.";
    ARC_LONG "drill-arc-long" Warning "CNC-7 part programming, G02 and G03" "Split arcs of more than 180 degrees; this one was read as written.";
    TOOL_DIFFERS "drill-tool-size-differs" Warning "common practice, no source" "Make comment and declaration agree; the declaration was used.";
    TOOL_UNLIKELY "drill-tool-size-unlikely" Warning "common practice, no source" "Confirm the unit: the tool sizes would suit the other one.";
    TOOL_BY_ORDER "drill-tool-by-order" Warning "common practice, no source" "Export the program with tool codes; tools were given to its sections in order.";
    TOOL_HEADER_WINS "drill-tool-header-wins" Warning "CNC-7 part programming, tool commands" "Make header and body agree; the size of the header was used.";
    QUANTITY "drill-quantity-differs" Warning "common practice, no source" "Check that no hole was lost: the count in the comment is another.";
    PATH_OPEN "drill-path-open" Warning "CNC-7 part programming, M16 and M17" "Retract the tool (M16) at the end of each path; the path was ended here.";
    CUT_UP "drill-cut-tool-up" Warning "CNC-7 part programming, M15" "Plunge the tool (M15) before the cut; this move was read without cutting.";
    CANNED "drill-canned-pattern" Warning "CNC-7 part programming, canned cycles" "Confirm the holes of the pattern, or export them as single holes.";
    STOP_MID_FILE "drill-stop-mid-file" Warning "CNC-7 part programming, M00 and M02" "Check the program: hits follow a stop, and they were read.";
    SEVERAL_ON_LINE "drill-several-on-line" Warning "CNC-7 part programming, command format" "Write one coordinate on a line; each was read in turn.";
    REPEAT_IN_PLACE "drill-repeat-in-place" Warning "CNC-7 part programming, R" "Give the repeat a distance; it was passed over.";
    GROUP_OPEN "drill-pattern-open" Warning "CNC-7 part programming, M01" "End the pattern with M01 before it is copied.";

    BLOCK_DELETE "drill-block-delete" Info "CNC-7 part programming, block delete" "Nothing to do: the line was read.";
    SETUP "drill-set-up" Info "CNC-7 part programming, header commands" "Nothing to do: machine set-up does not change the holes.";
    TOOL_INDEX "drill-tool-index" Info "CNC-7 part programming, T" "Nothing to do: the compensation index does not change the hole.";
    OPTIONAL_STOP "drill-optional-stop" Info "CNC-7 part programming, M01" "Nothing to do: the stop was passed over.";
    NO_HITS "drill-no-hits" Info "no standard: nothing to drill" "Check that the program is meant to hold no hole.";
}

//! Every remark the artwork reader can make.

use crate::remark::{Code, Severity};

macro_rules! codes {
    ($($name:ident $id:literal $severity:ident $clause:literal $action:literal;)*) => {
        $(#[doc = concat!("`", $id, "`")] pub static $name: Code =
            Code { id: $id, severity: Severity::$severity, clause: $clause, action: $action };)*
        /// All codes of the artwork reader, in order of weight.
        pub static ALL: &[&Code] = &[$(&$name),*];
    };
}

codes! {
    NOT_TEXT "artwork-not-text" Fatal "Gerber layer format 3.1" "Send the file as plain text, one byte a character.";
    OLD_DIALECT "artwork-rs274d" Fatal "Gerber layer format 8.5" "Export again as extended artwork, with the apertures inside the file.";
    NO_FORMAT "artwork-no-format" Fatal "Gerber layer format 2.6, 4.2.2" "Export again with the coordinate format (%FS) at the head of the file.";
    NO_UNIT "artwork-no-unit" Fatal "Gerber layer format 2.6, 4.2.1" "Export again with the unit (%MO) at the head of the file.";
    ZEROS_UNKNOWN "artwork-zeros-unknown" Fatal "Gerber layer format 4.2.2, 7.1" "Export again with leading zeros omitted (%FSLA).";
    SEVERAL_IMAGES "artwork-several-images" Fatal "Gerber layer format 7.1" "Send one file for each layer.";

    MISSING_END "artwork-missing-end" Error "Gerber layer format 4.13" "The file may be cut short: send it again, complete.";
    DATA_AFTER_END "artwork-data-after-end" Error "Gerber layer format 4.13" "Check that nothing was lost: what follows M02 was not read.";
    UNTERMINATED "artwork-unterminated" Error "Gerber layer format 3.3" "Check the file at this place and export it again.";
    TRUNCATED "artwork-cut-short" Error "Gerber layer format 3.3" "Send the file again, complete; this last word was not used.";
    MALFORMED "artwork-malformed" Error "Gerber layer format 3.5" "Check the command at this place; it was not used.";
    NO_DIGITS "artwork-letter-without-digits" Error "Gerber layer format 7.1" "Check the coordinate at this place; the letter was passed over.";
    FORMAT_MALFORMED "artwork-format-malformed" Error "Gerber layer format 4.2.2" "Check the coordinate format and export the file again.";
    FORMAT_DIFFERS "artwork-format-axes-differ" Error "Gerber layer format 4.2.2" "Export again with one format for X and Y; each axis was read by its own.";
    FORMAT_AGAIN "artwork-format-again" Error "Gerber layer format 4.2.2" "Keep one coordinate format; the first one was used.";
    FORMAT_LATE "artwork-format-late" Error "Gerber layer format 4.2.2" "Move the coordinate format before the first use; it was used for the whole file.";
    FORMAT_EXTRA "artwork-format-extra" Error "Gerber layer format 7.1" "Remove what is not part of the coordinate format; it was passed over.";
    ZEROS_FULL "artwork-zeros-full-length" Error "Gerber layer format 7.1" "Write leading zeros omitted (%FSLA); every coordinate has full length, so it was read that way.";
    UNIT_AGAIN "artwork-unit-contradicts" Error "Gerber layer format 4.2.1, 8.1.1" "Keep one unit; confirm which one is meant.";
    UNIT_LATE "artwork-unit-late" Error "Gerber layer format 4.2.1" "Move the unit before the first use; it was used for the whole file.";
    DECIMAL_POINT "artwork-coordinate-point" Error "Gerber layer format 4.2.2" "Export again with whole-number coordinates; this one was not used.";
    TOO_MANY_DIGITS "artwork-digits-unplaced" Error "Gerber layer format 8.2.1.1" "Export again with leading zeros omitted; the point cannot be placed and the object was dropped.";
    OUT_OF_RANGE "artwork-out-of-range" Error "range of this reader, one metre either side" "Check unit and format; the object was dropped.";
    POINT_UNDEFINED "artwork-point-undefined" Error "Gerber layer format 2.6" "Begin with a move (D02) that names X and Y; the last point known, or (0, 0), was used.";
    OPERATION_MISSING "artwork-operation-missing" Error "Gerber layer format 8.3.2" "Write D01, D02 or D03 after each coordinate; the last operation was repeated.";
    OPERATION_NONE "artwork-operation-none" Error "Gerber layer format 8.3.2" "Write D01, D02 or D03 after each coordinate; a move was assumed.";
    OFFSETS_UNUSED "artwork-offsets-unused" Warning "Gerber layer format 4.8.1" "Use I and J only with circular draws; they were passed over.";
    APERTURE_UNDEFINED "artwork-aperture-undefined" Error "Gerber layer format 4.6" "Define the aperture before it is used; what it draws is missing.";
    APERTURE_NONE "artwork-aperture-none" Error "Gerber layer format 2.6" "Select an aperture first; the object was dropped.";
    APERTURE_TWICE "artwork-aperture-twice" Error "Gerber layer format 4.3.1" "Give each aperture its own number; each use took the definition before it.";
    APERTURE_NUMBER "artwork-aperture-number" Error "Gerber layer format 4.3.1" "Number apertures from 10; this one was not defined.";
    APERTURE_MALFORMED "artwork-aperture-malformed" Error "Gerber layer format 4.3, 4.4" "Correct the aperture; what it draws is missing.";
    APERTURE_ZERO "artwork-aperture-zero" Error "Gerber layer format 4.3.2" "Only a circle may have no size; what this aperture draws is missing.";
    APERTURE_PARAMETERS "artwork-aperture-parameters" Error "Gerber layer format 4.4" "Correct the number of parameters; those too many were passed over.";
    HOLE_OUTSIDE "artwork-hole-outside" Error "Gerber layer format 4.4.6" "Make the hole fit inside its aperture; what lies inside was taken out.";
    STROKE_OTHER "artwork-stroke-aperture" Error "Gerber layer format 2.4, 8.2.3" "Draw with solid circles only; the line is the aperture swept along it.";
    STROKE_BLOCK "artwork-stroke-block" Error "Gerber layer format 2.4" "Draw with solid circles only; this line was dropped.";
    MACRO_MISSING "artwork-macro-missing" Error "Gerber layer format 4.5" "Define the macro before it is used; what it draws is missing.";
    MACRO_TWICE "artwork-macro-twice" Error "Gerber layer format 4.5" "Give each macro its own name; each use took the definition before it.";
    MACRO_SYNTAX "artwork-macro-syntax" Error "Gerber layer format 4.5, 3.5" "Correct the macro; this word was not used.";
    MACRO_PRIMITIVE "artwork-macro-primitive" Error "Gerber layer format 4.5.1" "Use a primitive the format knows; this one was not drawn.";
    MACRO_PARAMETERS "artwork-macro-parameters" Error "Gerber layer format 4.5.1" "Correct the number of parameters of the primitive.";
    MACRO_VALUE "artwork-macro-value" Error "Gerber layer format 4.5.1" "Correct the value; this primitive was not drawn.";
    MACRO_EXPOSURE "artwork-macro-exposure" Error "Gerber layer format 4.5.1.1" "Write exposure 0 or 1; it was taken as 1.";
    MACRO_OPEN "artwork-macro-outline-open" Error "Gerber layer format 4.5.1.6" "End the outline on its first point; it was closed with a straight line.";
    MACRO_REDEFINED "artwork-macro-variable-redefined" Error "Gerber layer format 4.5.4.3" "Give each variable one value; the later one was used from there on.";
    MACRO_DIVISION "artwork-macro-division" Error "Gerber layer format 4.5.4.2" "Correct the expression: it divides by zero; the primitive was not drawn.";
    QUADRANT_UNDEFINED "artwork-arc-mode-undefined" Error "Gerber layer format 4.7.2" "Write G75 before the first arc; it was assumed.";
    ARC_RADIUS_ERROR "artwork-arc-radius" Error "Gerber layer format 4.7.2.2" "Correct the arc: its ends lie at different distances from its centre.";
    ARC_NONSENSE "artwork-arc-nonsense" Error "Gerber layer format 4.7.2.2" "Correct the arc: its centre lies in line with its ends, outside them; a straight line was drawn.";
    ARC_NO_RADIUS "artwork-arc-no-radius" Error "Gerber layer format 4.7.2" "Give the arc a centre (I, J); a straight line was drawn.";
    ARC_NO_QUADRANT "artwork-arc-no-quadrant" Error "Gerber layer format 8.1.10" "No arc of a quarter turn or less fits; use G75. A straight line was drawn.";
    CONTOUR_OPEN "artwork-contour-open" Error "Gerber layer format 4.10.3" "Close the contour: its last point must be its first; a straight line was added.";
    CONTOUR_CROSSES "artwork-contour-crosses" Error "Gerber layer format 4.10.3" "Correct the contour: it crosses itself; all that it goes round was filled.";
    CONTOUR_LOST "artwork-contour-lost" Error "Gerber layer format 4.10.3" "Correct the coordinate inside this contour; the contour was dropped.";
    CONTOUR_TWICE "artwork-contour-twice" Error "Gerber layer format 4.10.3" "Correct the contour: it goes round a part of its area twice or the wrong way; all that it goes round was filled.";
    REGION_POLARITY "artwork-region-polarity" Error "Gerber layer format 4.10.1" "Say which polarity the region has; the one before G36 was used.";
    REGION_FLASH "artwork-region-flash" Error "Gerber layer format 4.10.1" "Move the flash out of the region; it was dropped.";
    REGION_COMMAND "artwork-region-command" Error "Gerber layer format 4.10.1" "Only D01, D02 and G codes may stand in a region; the command counts for what follows the region.";
    REGION_UNCLOSED "artwork-region-unclosed" Error "Gerber layer format 4.10.1" "End the region with G37.";
    REGION_NESTED "artwork-region-nested" Error "Gerber layer format 4.10.1" "End one region with G37 before the next; this word was passed over.";
    REGION_NOT_OPEN "artwork-region-not-open" Error "Gerber layer format 4.10.1" "Begin a region with G36; this G37 was passed over.";
    BLOCK_UNCLOSED "artwork-block-unclosed" Error "Gerber layer format 4.11" "Close the block aperture with %AB*%; all that follows was taken as part of it.";
    BLOCK_NOT_OPEN "artwork-block-not-open" Error "Gerber layer format 4.11" "Remove the block end that closes nothing.";
    REPEAT_IN_BLOCK "artwork-repeat-in-block" Error "Gerber layer format 3.5" "Do not repeat inside a block aperture; it was repeated as written.";
    REPEAT_MALFORMED "artwork-repeat-malformed" Error "Gerber layer format 4.12" "Correct the step and repeat; it was not repeated.";
    TRANSFORM_MALFORMED "artwork-transform-malformed" Error "Gerber layer format 4.9" "Correct the command; the setting before it stays.";
    IMAGE_NEGATIVE "artwork-image-negative" Error "Gerber layer format 8.1.4" "Export the image positive, or say what the negative means; it was read as positive.";
    IMAGE_TRANSFORM "artwork-image-transform" Error "Gerber layer format 8.1" "Export without this whole-image setting; it was not applied.";
    ATTRIBUTE_MALFORMED "artwork-attribute-malformed" Error "Gerber layer format 5" "Correct the attribute; it was not used.";
    ATTRIBUTE_MANY "artwork-attribute-many" Error "bound of this reader" "Delete attributes (%TD*%) that no longer hold; this one was not used.";

    UNKNOWN_COMMAND "artwork-unknown-command" Warning "Gerber layer format 2.14" "Tell what it means if it matters; it was passed over.";
    CODE_STYLE "artwork-code-style" Warning "Gerber layer format 8.3.3" "Write codes upper case with two digits; it was read as meant.";
    STRAY_SPACE "artwork-stray-space" Warning "Gerber layer format 3.1" "Remove blanks outside text; they were passed over.";
    PLAIN_IN_BLOCK "artwork-word-in-extended" Warning "Gerber layer format 3.3" "Keep plain words outside %; it was read as meant.";
    BLOCK_PERCENT "artwork-percent-unbalanced" Error "Gerber layer format 3.3" "Close every % with another; a missing one was assumed.";
    COMMENT_PERCENT "artwork-comment-percent" Warning "Gerber layer format 3.4.3" "Keep % out of comments; the comment was taken to its *.";
    FORMAT_TRAILING "artwork-format-trailing" Warning "Gerber layer format 8.2.1.1" "Export with leading zeros omitted.";
    FORMAT_INCREMENTAL "artwork-incremental" Warning "Gerber layer format 8.2.1.2" "Export with absolute coordinates.";
    FORMAT_ZEROS_MISSING "artwork-format-no-zeros" Warning "Gerber layer format 4.2.2" "Say which zeros are omitted (%FSLA); leading ones were assumed.";
    FORMAT_COARSE "artwork-format-coarse" Warning "Gerber layer format 8.2.1.3" "Export with at least 5 decimals: rounding shows at this step.";
    EXTRA_DIGITS "artwork-extra-digits" Warning "Gerber layer format 4.2.2" "Keep to the digits of the format; the value is as written.";
    LEGACY_UNIT "artwork-legacy-unit" Warning "Gerber layer format 8.1.1" "Give the unit with %MO only.";
    LEGACY_NOTATION "artwork-legacy-notation" Warning "Gerber layer format 8.1.1" "Leave G90 and G91 out.";
    LEGACY_STOP "artwork-legacy-stop" Warning "Gerber layer format 8.1.1" "End the file with M02.";
    MODAL_DRAW "artwork-modal-draw" Warning "Gerber layer format 8.3.2" "Write D01 after each coordinate; the draw was continued.";
    PLOT_MODE_UNDEFINED "artwork-plot-mode-undefined" Warning "Gerber layer format 2.6" "Write G01 before the first draw; it was assumed.";
    OFFSET_MISSING "artwork-offset-missing" Warning "Gerber layer format 4.8.2" "Write both I and J; the missing one was taken as 0.";
    OFFSET_SIGNED "artwork-offset-signed" Warning "Gerber layer format 8.1.10" "Write I and J without sign under G74; the sign was passed over.";
    ARC_RADIUS_WARNING "artwork-arc-radius-differs" Warning "Gerber layer format 4.7.2.2" "Export with more decimals; the radius runs evenly from one end to the other.";
    ARC_SHORT "artwork-arc-short" Warning "Gerber layer format 4.14.2" "Leave out arcs this short: they may be taken for full circles or dots.";
    ARC_POINT "artwork-arc-point" Warning "Gerber layer format 4.7.2" "Leave out arcs without radius; a dot was drawn.";
    ARC_IN_LINE "artwork-arc-in-line" Warning "Gerber layer format 4.7.2.2" "Leave out arcs this short; a straight line was drawn.";
    REGION_EMPTY "artwork-region-empty" Warning "Gerber layer format 4.10" "Leave out regions without contour.";
    CONTOUR_OVERLAPS "artwork-contour-overlaps" Warning "Gerber layer format 4.10.3" "Let the two edges of a cut-in coincide in full; all that the contour goes round was filled.";
    CONTOUR_CIRCLE "artwork-contour-circle" Warning "Gerber layer format 4.10.3" "Make the circle a contour of its own; it was taken as a full circle, not as a dot.";
    ARC_TWO_CENTRES "artwork-arc-two-centres" Warning "Gerber layer format 8.1.10" "Use G75: more than one centre fits this arc; the one that fits best was used.";
    CONTOUR_FLAT "artwork-contour-flat" Warning "Gerber layer format 4.10.3" "Leave out contours without area; it was dropped.";
    REGION_NO_MOVE "artwork-region-no-move" Warning "Gerber layer format 3.5" "Begin each contour with D02; the current point was used.";
    RECTANGLE_STROKE "artwork-stroke-rectangle" Warning "Gerber layer format 8.2.3" "Draw with solid circles only; the line is the rectangle swept along it.";
    RECTANGULAR_HOLE "artwork-rectangular-hole" Warning "Gerber layer format 8.2.2" "Use a macro for such an aperture.";
    MACRO_UPPER_X "artwork-macro-upper-x" Warning "Gerber layer format 4.5.4.2" "Write the multiplication sign in lower case.";
    MACRO_SIGN "artwork-macro-sign" Warning "Gerber layer format 3.5" "Put a signed operand in brackets; it was read as meant.";
    MACRO_CORNERS "artwork-macro-outline-corners" Warning "Gerber layer format 4.5.1.6" "Keep outlines to 5000 corners.";
    REPEAT_REOPENED "artwork-repeat-reopened" Warning "Gerber layer format 8.3.4" "Close each step and repeat with %SR*%.";
    REPEAT_UNCLOSED "artwork-repeat-unclosed" Warning "Gerber layer format 8.3.4" "Close each step and repeat with %SR*%.";
    ATTRIBUTE_TWICE "artwork-attribute-twice" Warning "Gerber layer format 5.2" "Give each file attribute once; the first was kept.";
    ATTRIBUTE_KIND "artwork-attribute-kind" Warning "Gerber layer format 5.1" "Use a name for one kind of attribute only.";
    ATTRIBUTE_TEXT "artwork-attribute-text" Warning "Gerber layer format 3.1" "Write text in UTF-8; unreadable characters were replaced.";

    EMPTY_WORD "artwork-empty-word" Info "Gerber layer format 3.3" "Nothing needs doing.";
    COMBINED_WORD "artwork-combined-word" Info "Gerber layer format 8.3.1" "Nothing needs doing.";
    SELECT_PREFIX "artwork-select-prefix" Info "Gerber layer format 8.1.1" "Nothing needs doing.";
    FLASH_PREFIX "artwork-flash-prefix" Info "Gerber layer format 8.1.1" "Nothing needs doing.";
    OPTIONAL_STOP "artwork-optional-stop" Info "Gerber layer format 8.1.1" "Nothing needs doing.";
    NAME "artwork-name" Info "Gerber layer format 8.1.3, 8.1.6" "Nothing needs doing.";
    FORMAT_LOW "artwork-format-low" Info "Gerber layer format 8.2.1.3" "Five or six decimals are better.";
    HOLE_ZERO "artwork-hole-zero" Info "Gerber layer format 4.4.6" "Leave the hole out; there is none.";
    DOT_DRAWN "artwork-dot-drawn" Info "Gerber layer format 2.4, 6.4" "Flash pads rather than draw them.";
    CONTOUR_GAP "artwork-contour-gap" Info "Gerber layer format 4.10.3" "Nothing needs doing: a gap of one step was closed.";
    CONTOUR_TOUCHES "artwork-contour-touches" Info "Gerber layer format 4.10.3" "Nothing needs doing: a contour should meet itself only in cut-ins, but what it fills is clear.";
    MACRO_DEPRECATED "artwork-macro-deprecated" Info "Gerber layer format 8.2" "Nothing needs doing.";
    ATTRIBUTE_UNKNOWN "artwork-attribute-unknown" Info "Gerber layer format 5.6.1" "Begin names of your own without a dot.";
}

//! Every remark the netlist reader can make.

crate::remark_codes! {
    EMPTY "netlist-empty" Fatal "no standard: nothing to read" "Send the netlist again.";
    NOT_A_NETLIST "netlist-not-a-netlist" Fatal "IPC-D-356A, operation codes" "Send an IPC-D-356 netlist; this file holds no record of one.";

    MISSING_END "netlist-missing-end" Error "IPC-D-356A, 999" "The file may be cut short: send it again, complete.";
    DATA_AFTER_END "netlist-data-after-end" Error "IPC-D-356A, 999" "Check that nothing was lost: what follows the end of the job was not read.";
    UNIT_UNKNOWN "netlist-unit-unknown" Error "IPC-D-356A, UNITS" "State UNITS as SI, CUST 0, CUST 1 or CUST 2.";
    UNIT_CONTRADICTS "netlist-unit-contradicts" Error "IPC-D-356A, UNITS" "State UNITS once and confirm which is meant; the first was used.";
    ALIAS_UNREADABLE "netlist-alias-unreadable" Error "IPC-D-356A, NNAME" "Give the alias and the real net name; the record was passed over.";
    ALIAS_TWICE "netlist-alias-twice" Error "IPC-D-356A, NNAME" "Give each net its own alias; the first name was used.";
    NO_COORDINATE "netlist-no-coordinate" Error "IPC-D-356A, columns 42 to 57" "Give the record its X and Y; it was left out.";
    NUMBER_UNREADABLE "netlist-number-unreadable" Error "IPC-D-356A, columns of numbers" "Write the number with digits only, in whole unit steps; the field was left out, and the record with it where it was a coordinate.";
    OUT_OF_RANGE "netlist-out-of-range" Error "range of this reader, one metre either side" "Check unit and digits; the record was left out.";
    CONTINUATION_ALONE "netlist-continuation-alone" Error "IPC-D-356A, continuation records" "Put the continuation behind the record it belongs to; it was left out.";
    NO_PATH "netlist-no-path" Error "IPC-D-356A, 378 and 389" "Give the line its corners; it was left out.";
    NET_LONG "netlist-net-name-long" Error "IPC-D-356A, columns 4 to 17" "Give names of more than 14 characters an alias (NNAME); the name was read as far as it stands alone.";
    STEP_UNREADABLE "netlist-step-unreadable" Error "IPC-D-356A, 309" "Check mirror, rotation and offset of the stepped image; it was left out.";

    UNIT_ASSUMED "netlist-unit-assumed" Warning "common practice, no source" "State UNITS, or confirm that lengths are in steps of 0.0001 inch.";
    UNIT_LATE "netlist-unit-late" Warning "IPC-D-356A, UNITS" "State UNITS before the first record; it was applied to the whole file.";
    RADIANS "netlist-radians" Warning "IPC-D-356A, UNITS CUST 2" "State rotations in degrees (UNITS CUST 0); three digits do not say which radians are meant, so they were left unknown.";
    VERSION_UNKNOWN "netlist-version-unknown" Warning "IPC-D-356A, VER" "State VER as IPC-D-356 or IPC-D-356A.";
    CODE_UNKNOWN "netlist-code-unknown" Warning "IPC-D-356A, operation codes" "Check the record; it was kept as text and not used.";
    LINE_UNKNOWN "netlist-line-unknown" Warning "IPC-D-356A, record layout" "Check the line: it begins with no operation code, P or C; it was passed over.";
    INDENT "netlist-indented" Warning "IPC-D-356A, record layout" "Begin each record in column 1; columns were counted from its first character.";
    TAB "netlist-tab" Warning "IPC-D-356A, record layout" "Write blanks, not tabs; columns were found by their letters.";
    SHIFTED "netlist-columns-shifted" Warning "IPC-D-356A, record layout" "Put each field in its columns; this record was read from the column of its X coordinate.";
    FIELD_COLUMN "netlist-field-column" Warning "IPC-D-356A, record layout" "Put the field in its column; it was read by its letter.";
    FIELD_STRAY "netlist-field-stray" Warning "IPC-D-356A, record layout" "Check the columns named; what stands there was not read.";
    NET_BLANK "netlist-net-blank" Warning "IPC-D-356A, columns 4 to 17" "Name the net, or write N/C for a single point; it was taken as a single point.";
    NET_SPACES "netlist-net-name-spaces" Warning "IPC-D-356A, columns 4 to 17" "Write net names without blanks; it was read with them.";
    ALIAS_UNDEFINED "netlist-alias-undefined" Warning "IPC-D-356A, NNAME" "Define the alias with a NNAME record; it was taken as the net's name.";
    COMPONENT_COLUMNS "netlist-component-columns" Warning "IPC-D-356A, columns 21 to 31" "Write the reference in columns 21 to 26, - in 27 and the pin in 28 to 31; all of it was kept as the reference.";
    ACCESS "netlist-access" Warning "IPC-D-356A, columns 39 to 41" "Say from which side the point can be reached: A00, A01 or the layer.";
    HOLE_SIZE "netlist-hole-size" Warning "IPC-D-356A, columns 33 to 37" "Give the hole its diameter; it was kept with unknown size.";
    HOLE_MISSING "netlist-hole-missing" Warning "IPC-D-356A, columns 33 to 38" "Give the record its hole, or a 017 behind it with the hole; the point was kept without.";
    HOLE_WITHOUT_D "netlist-hole-without-d" Warning "IPC-D-356A, column 33" "Write D before the diameter; the hole was left out.";
    SIZE_FULL "netlist-size-full" Warning "IPC-D-356A, columns 58 to 67" "Confirm the size: 9999 is the largest number its columns hold.";
    MASK_UNKNOWN "netlist-mask-unknown" Warning "IPC-D-356A, columns 73 and 74" "Write S0, S1, S2 or S3; the mask was taken as not stated.";
    ROTATION "netlist-rotation" Warning "IPC-D-356A, columns 68 to 71" "Write a rotation from 000 to 360; it was taken as not stated.";
    SPAN "netlist-span" Warning "IPC-D-356A, columns 75 to 80" "Give the first and the last layer of a blind or buried via.";
    CONTINUATION_NET "netlist-continuation-net" Warning "IPC-D-356A, continuation records" "Check the net: the continuation names another one than its record; that of the record was kept.";
    CONTINUATION_EMPTY "netlist-continuation-empty" Warning "IPC-D-356A, continuation records" "Check the record: the continuation gives neither a hole nor a land.";
    LAYER_MISSING "netlist-layer-missing" Warning "IPC-D-356A, 378" "State the layer of the conductor; it was kept without.";
    ONE_CORNER "netlist-one-corner" Warning "IPC-D-356A, 378 and 389" "Check the line: one corner draws a dot, and it was kept as one.";
    PEN_MISSING "netlist-pen-missing" Warning "IPC-D-356A, 378 and 389" "State the width of the line; it was kept with none.";
    OUTLINE_KIND "netlist-outline-kind" Warning "IPC-D-356A, 389" "Name the outline BOARD_EDGE, PANEL_EDGE, SCORE_LINE or OTHER_FAB; it was kept under its own name.";
    ADJACENCY_EMPTY "netlist-adjacency-empty" Warning "IPC-D-356A, 379" "Name the net and its neighbours.";
    TEXT_BYTES "netlist-text-bytes" Warning "IPC-D-356A, ASCII records" "Write ASCII only; other bytes may stand in the way of the columns.";
    NO_POINTS "netlist-no-points" Warning "no standard: nothing to compare" "Check that the netlist is meant to hold no point.";

    UNIT_TWICE "netlist-unit-twice" Info "IPC-D-356A, UNITS" "Nothing to do: UNITS says the same again.";
    HEADER_COLUMNS "netlist-header-columns" Info "IPC-D-356A, parameter records" "Nothing to do: the keyword stands outside column 4 and was read.";
    HEADER_UNKNOWN "netlist-header-unknown" Info "IPC-D-356A, parameter records" "Nothing to do: the parameter was kept and not used.";
    LOWER_CASE "netlist-lower-case" Info "IPC-D-356A, record layout" "Nothing to do: small letters were read as capitals.";
    MASK_EARLY "netlist-mask-early" Info "seen in use, no source" "Nothing to do: the mask field stands one column early and was read.";
    KEPT "netlist-record-kept" Info "IPC-D-356A, operation codes" "Nothing to do: the record names no point to compare and was kept as text.";
}

//! Every remark about a statement of the data that something else in the set contradicts.

landgap_parser::remark_codes! {
    CHECKSUM "set-checksum" Error "Gerber layer format 5.6.9" "The file was changed after it was made: confirm that it is the one meant.";
    PROJECT "set-project-differs" Error "Gerber layer format 5.6.8" "Confirm that all files belong to the same board.";
    COORDINATES "set-coordinates-differ" Error "Gerber layer format 5.6.5" "Confirm that all files have the same origin; they were laid over one another as drawn.";

    DATE "set-date-differs" Warning "Gerber layer format 5.6.6; one hour: common practice, no source" "Confirm that the files come from one export.";
    LAYER_FIELDS "set-layer-fields" Warning "Gerber layer format 5.6.3" "Make layer number and side of the file function agree; the geometry was not changed.";
    LAYER_TOTAL "set-layer-total" Warning "Gerber layer format 5.6.3" "Send all copper layers, or correct the file function.";
    SPAN "set-span" Warning "Gerber layer format 5.6.3" "Correct the layers the holes join, or send all copper layers.";
    NEGATIVE_COPPER "set-negative-copper" Warning "Gerber layer format 5.6.4" "Confirm the polarity: the file draws lands and tracks.";
    POSITIVE_MASK "set-positive-mask" Warning "Gerber layer format 5.6.4" "Confirm that what the mask file draws are openings, as it was read.";
    NEGATIVE_HOLES "set-negative-holes" Warning "Gerber layer format 5.6.4" "Drill files are positive; correct the file polarity.";
    LAND_WITHOUT_HOLE "set-land-without-hole" Warning "Gerber layer format 5.6.10" "Check the drill data: the land is stated to have a hole, and none is there.";
    TOOL_PLATING "set-tool-plating" Warning "Gerber layer format 5.6.3" "State plated and non-plated holes in files of their own; the tool's own word was used.";
    NAME_PLATING "set-name-plating" Warning "common practice, no source" "Make the file's name and its file function agree; the file function was used.";

    JOB_SEVERAL "set-job-several" Warning "common practice, no source" "Send one job file; the first was used.";
    JOB_MISSING "set-job-file-missing" Warning "common practice, no source" "Send the file, or take it off the list.";
    JOB_SIZE "set-job-size" Warning "common practice, no source" "Confirm the size of the board; the outline was used.";
    JOB_LAYERS "set-job-layers" Warning "common practice, no source" "Confirm the number of copper layers.";
    JOB_THICKNESS "set-job-thickness" Warning "common practice, no source" "Confirm the thickness of the board.";
    JOB_FUNCTION "set-job-function" Warning "common practice, no source" "Make job file and file function agree; the file's own was used.";
    JOB_POLARITY "set-job-polarity" Warning "common practice, no source" "Make job file and file polarity agree; the file's own was used.";
    JOB_PROJECT "set-job-project" Warning "common practice, no source" "Confirm that the job file belongs to this board.";
    JOB_DATE "set-job-date" Warning "one hour: common practice, no source" "Confirm that the job file comes from the same export.";
    JOB_EDGE_PLATING "set-job-edge-plating" Warning "Gerber layer format 5.6.3" "Say whether the board's edge is plated.";

    JOB_UNLISTED "set-job-file-unlisted" Info "common practice, no source" "Nothing to do if the file belongs to the board: the job file does not list it.";
}

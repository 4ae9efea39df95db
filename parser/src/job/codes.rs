//! Every remark the job file reader can make.

crate::remark_codes! {
    EMPTY "job-empty" Fatal "no standard: nothing to read" "Send the job file again.";
    NOT_TEXT "job-not-text" Fatal "RFC 8259, section 8.1" "Send the job file as text in UTF-8.";

    CUT_SHORT "job-cut-short" Error "RFC 8259, section 2" "Send the file again, complete; what stands before the cut was read.";
    SYNTAX "job-syntax" Error "RFC 8259, section 2" "Correct the file at this place; what stands before it was read.";
    PATH_OUTSIDE "job-path-outside" Error "common practice, no source" "List files by their path inside the set; this entry was refused.";
    OUT_OF_RANGE "job-out-of-range" Error "range of this reader" "Correct the value; it was not used.";

    WRONG_TYPE "job-wrong-type" Warning "common practice, no source" "Write the value in the expected form; it was not used.";
    NUMBER_AS_TEXT "job-number-as-text" Warning "RFC 8259, section 6" "Write numbers without quotes; it was read as meant.";
    KEY_TWICE "job-key-twice" Warning "RFC 8259, section 4" "Give each key once; the first was kept.";
    ENTRY_INCOMPLETE "job-entry-incomplete" Warning "common practice, no source" "Give each entry its path and its file function; this one was not used.";
    PATH_TWICE "job-path-twice" Warning "common practice, no source" "List each file once; the first entry was kept.";
    VALUE_UNKNOWN "job-value-unknown" Warning "common practice, no source" "Use a word the format knows; it was kept as written.";
    DATA_AFTER_END "job-data-after-end" Warning "RFC 8259, section 2" "Remove what follows the closing brace; it was not read.";
    LENIENT "job-not-strict" Warning "RFC 8259, sections 4, 5 and 7" "Write strict JSON; it was read as meant.";
    TEXT_BYTES "job-text-bytes" Warning "RFC 8259, section 8.1" "Write text in UTF-8; the bytes were replaced.";

    OLD_TEXT "job-old-text" Info "seen in use, no source" "Nothing to do: files of the older text form are passed over.";
    UNKNOWN_KEY "job-unknown-key" Info "common practice, no source" "Nothing to do: the key was kept by name and not used.";
    FINISH_NONE "job-finish-none" Info "seen in use, no source" "State the finish with the order: \"None\" often stands for a finish nobody set.";
}

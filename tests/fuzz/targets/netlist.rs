#![no_main]
libfuzzer_sys::fuzz_target!(|bytes: &[u8]| landgap_fuzz::properties::netlist::holds(bytes));

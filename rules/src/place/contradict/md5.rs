//! The checksum of RFC 1321, by which a file says that it was not changed.

/// The message digest of some bytes, in lower-case hexadecimal.
pub(super) fn digest(bytes: &[u8]) -> String {
    let mut state: [u32; 4] = [0x6745_2301, 0xefcd_ab89, 0x98ba_dcfe, 0x1032_5476];
    let mut blocks = bytes.chunks_exact(64);
    blocks.by_ref().for_each(|block| round(&mut state, block));
    let mut tail = blocks.remainder().to_vec();
    tail.push(0x80);
    tail.resize(if tail.len() <= 56 { 56 } else { 120 }, 0);
    tail.extend((bytes.len() as u64).wrapping_mul(8).to_le_bytes());
    tail.chunks_exact(64).for_each(|block| round(&mut state, block));
    state.iter().flat_map(|word| word.to_le_bytes()).map(|byte| format!("{byte:02x}")).collect()
}

/// How far each step turns its sum, by round (RFC 1321, 3.4).
const TURNS: [[u32; 4]; 4] = [[7, 12, 17, 22], [5, 9, 14, 20], [4, 11, 16, 23], [6, 10, 15, 21]];

fn round(state: &mut [u32; 4], block: &[u8]) {
    let word = |i: usize| u32::from_le_bytes([block[4 * i], block[4 * i + 1], block[4 * i + 2], block[4 * i + 3]]);
    let [mut a, mut b, mut c, mut d] = *state;
    for step in 0..64 {
        let (mix, index) = match step / 16 {
            0 => ((b & c) | (!b & d), step),
            1 => ((d & b) | (!d & c), 5 * step + 1),
            2 => (b ^ c ^ d, 3 * step + 5),
            _ => (c ^ (b | !d), 7 * step),
        };
        let sum = a.wrapping_add(mix).wrapping_add(ADDENDS[step]).wrapping_add(word(index % 16));
        let next = b.wrapping_add(sum.rotate_left(TURNS[step / 16][step % 4]));
        (a, d, c, b) = (d, c, b, next);
    }
    for (sum, part) in state.iter_mut().zip([a, b, c, d]) {
        *sum = sum.wrapping_add(part);
    }
}

/// 2^32 × |sin(step + 1)|, whole part; as numbers, for a sine may round differently elsewhere.
#[rustfmt::skip]
const ADDENDS: [u32; 64] = [
    0xd76a_a478, 0xe8c7_b756, 0x2420_70db, 0xc1bd_ceee, 0xf57c_0faf, 0x4787_c62a, 0xa830_4613, 0xfd46_9501,
    0x6980_98d8, 0x8b44_f7af, 0xffff_5bb1, 0x895c_d7be, 0x6b90_1122, 0xfd98_7193, 0xa679_438e, 0x49b4_0821,
    0xf61e_2562, 0xc040_b340, 0x265e_5a51, 0xe9b6_c7aa, 0xd62f_105d, 0x0244_1453, 0xd8a1_e681, 0xe7d3_fbc8,
    0x21e1_cde6, 0xc337_07d6, 0xf4d5_0d87, 0x455a_14ed, 0xa9e3_e905, 0xfcef_a3f8, 0x676f_02d9, 0x8d2a_4c8a,
    0xfffa_3942, 0x8771_f681, 0x6d9d_6122, 0xfde5_380c, 0xa4be_ea44, 0x4bde_cfa9, 0xf6bb_4b60, 0xbebf_bc70,
    0x289b_7ec6, 0xeaa1_27fa, 0xd4ef_3085, 0x0488_1d05, 0xd9d4_d039, 0xe6db_99e5, 0x1fa2_7cf8, 0xc4ac_5665,
    0xf429_2244, 0x432a_ff97, 0xab94_23a7, 0xfc93_a039, 0x655b_59c3, 0x8f0c_cc92, 0xffef_f47d, 0x8584_5dd1,
    0x6fa8_7e4f, 0xfe2c_e6e0, 0xa301_4314, 0x4e08_11a1, 0xf753_7e82, 0xbd3a_f235, 0x2ad7_d2bb, 0xeb86_d391,
];

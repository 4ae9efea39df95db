import { describe, expect, it } from 'vitest';
import { apart, bytes, length, number, place, size, uncertainty } from './units';

describe('lengths', () => {
  it('are millimetres with three decimals or mil with one', () => {
    expect(length(150, 'mm')).toBe('0.150 mm');
    expect(length(152.4, 'mil')).toBe('6.0 mil');
    expect(length(25400, 'mil')).toBe('1000.0 mil');
    expect(length(null, 'mm')).toBe('not known');
  });

  it('round half away from zero without the noise of binary fractions', () => {
    expect(number(0.5, 'mm')).toBe('0.001');
    expect(number(1.5, 'mm')).toBe('0.002');
    expect(number(1.005, 'mm', 5)).toBe('0.00101');
    expect(number(-0.5, 'mm')).toBe('\u22120.001');
    expect(number(-0.2, 'mm')).toBe('0.000');
  });

  it('that differ are shown so that they differ', () => {
    expect(apart(80, 100, 'mm')).toEqual(['0.080', '0.100']);
    expect(apart(99.98, 100, 'mm')).toEqual(['0.09998', '0.10000']);
    expect(apart(99.999, 100, 'mil')).toEqual(['3.93697', '3.93701']);
    expect(apart(100, 100, 'mm')).toEqual(['0.100', '0.100']);
  });
});

describe('the rest', () => {
  it('rounds uncertainty up, never down', () => {
    expect(uncertainty(0.5, 'mm')).toBe('±0.0005 mm');
    expect(uncertainty(0.501, 'mm')).toBe('±0.0006 mm');
    expect(uncertainty(0.001, 'mil')).toBe('±0.01 mil');
    expect(uncertainty(0, 'mm')).toBe('±0.0000 mm');
  });

  it('says places and sizes', () => {
    expect(place(52000, -140, 'mm')).toBe('x 52.000, y \u22120.140');
    expect(size(70000, 45000, 'mm')).toBe('70.00 × 45.00 mm');
    expect(size(50800, 30480, 'mil')).toBe('2000 × 1200 mil');
    expect(size(null, 45000, 'mm')).toBe('not known');
  });

  it('says the size of files', () => {
    expect(bytes(717)).toBe('717 B');
    expect(bytes(18577)).toBe('18.6 kB');
    expect(bytes(2_500_000)).toBe('2.5 MB');
  });
});

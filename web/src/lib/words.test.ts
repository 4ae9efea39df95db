import { describe, expect, it } from 'vitest';
import type { Board, DataFile, Laid, Least } from './types';
import { confidence, headline, kindName, leastOfEach, registration, roleChoices, stageIndex } from './words';

const board = { copper_layers: 2 } as Board;
const verdict = (stop: number, ask: number, note: number, fix = 0) => ({ stop, ask, note, fix });

describe('headline', () => {
  it('counts in words', () => {
    expect(headline(verdict(0, 3, 1), board)).toBe('3 questions, 1 note');
    expect(headline(verdict(1, 1, 0), board)).toBe('1 stop, 1 question');
    expect(headline(verdict(2, 0, 0, 1), board)).toBe('2 stops, 1 fix');
  });

  it('says plainly that nothing is asked, and never when there is no board', () => {
    expect(headline(verdict(0, 0, 0), board)).toBe('No question: nothing here needs an answer');
    expect(headline(verdict(0, 0, 2), board)).toBe('No question: nothing here needs an answer; 2 notes');
    expect(headline(verdict(0, 0, 0), { copper_layers: 0 } as Board)).toMatch(/^No verdict/);
  });
});

describe('the rest', () => {
  it('keeps the least of each kind', () => {
    const fact = (kind: string, layer: number, least_um: number) => ({ fact: kind, layer, least_um }) as Least;
    const least = leastOfEach([fact('gap', 1, 200), fact('gap', 4, 99), fact('width', 1, 80)]);
    expect(least.map((f) => [f.fact, f.layer])).toEqual([['gap', 4], ['width', 1]]);
  });

  it('offers every copper layer with its side', () => {
    const values = roleChoices(4).map((c) => c.value);
    expect(values.slice(0, 4)).toEqual(['copper top 1', 'copper inner 2', 'copper inner 3', 'copper bottom 4']);
    expect(values).toContain('mask bottom');
    expect(roleChoices(0).map((c) => c.value)).toContain('copper bottom 2');
  });

  it('says how sure', () => {
    expect(confidence(1)).toBe('100 %, sure');
    expect(confidence(0.68)).toBe('68 %, a guess');
  });

  it('counts drawing the copper as measuring', () => {
    expect(stageIndex('image')).toBe(stageIndex('measure'));
  });
});

describe('kindName', () => {
  it('keeps the trade\'s hyphens and opens the others', () => {
    expect(kindName('unplated')).toBe('non-plated');
    expect(kindName('half-hole')).toBe('half-hole');
    expect(kindName('edge-fingers')).toBe('edge fingers');
  });
});

describe('registration', () => {
  const laid = (more: Partial<Laid>): Laid => ({
    mirrored: false,
    turned_deg: 0,
    scale: 1,
    shift_um: [0, 0],
    share: 1,
    max_um: 0.4,
    rms_um: 0.2,
    ...more,
  });
  const file = (as_sent: Laid, better: Laid | null, pure_shift = false) =>
    ({ registration: { against: 'holes', points: 40, as_sent, better, pure_shift } }) as DataFile;

  it('says how a file fits and what is left', () => {
    expect(registration(file(laid({}), null), 'mm')).toEqual({
      fits: 'as sent',
      left: '100 % of 40; left: at most 0.000 mm, 0.000 mm rms',
    });
    const shifted = file(laid({ share: 0 }), laid({ shift_um: [-300, 100] }), true);
    expect(registration(shifted, 'mm').fits).toBe('aligned as shown: moved by \u22120.300 mm, 0.100 mm');
    expect(registration(file(laid({ share: 0 }), laid({ mirrored: true, turned_deg: 90 })), 'mm').fits).toBe(
      'mirrored, turned by 90°',
    );
    expect(registration({ registration: null } as DataFile, 'mm').fits).toBe('–');
  });
});

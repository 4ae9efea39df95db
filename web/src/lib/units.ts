// Lengths come in micrometres; people read millimetres or mil (thousandths of an inch, 25.4 µm).

export type Unit = 'mm' | 'mil';

const UM_PER: Record<Unit, number> = { mm: 1000, mil: 25.4 };
const PLACES: Record<Unit, number> = { mm: 3, mil: 1 };
const MOST_PLACES = 6;

function fixed(um: number, unit: Unit, places: number): string {
  // Micrometres have at most three decimals, so this many digits are exact before rounding half away from zero.
  const value = Math.abs(um) / UM_PER[unit];
  const text = (Math.round(Number((value * 10 ** places).toPrecision(12))) / 10 ** places).toFixed(places);
  return um < 0 && Number(text) !== 0 ? `\u2212${text}` : text;
}

/** The number alone, in the unit. */
export function number(um: number, unit: Unit, places = PLACES[unit]): string {
  return fixed(um, unit, places);
}

/** A length with its unit: "0.150 mm", "5.9 mil". */
export function length(um: number | null | undefined, unit: Unit): string {
  return um === null || um === undefined ? 'not known' : `${fixed(um, unit, PLACES[unit])} ${unit}`;
}

/** Two values, with as many decimals as it takes to tell them apart. */
export function apart(a: number, b: number, unit: Unit): [string, string] {
  for (let places = PLACES[unit]; places <= MOST_PLACES; places++) {
    const pair: [string, string] = [fixed(a, unit, places), fixed(b, unit, places)];
    if (a === b || pair[0] !== pair[1] || places === MOST_PLACES) return pair;
  }
  return [fixed(a, unit, MOST_PLACES), fixed(b, unit, MOST_PLACES)];
}

/** An uncertainty, rounded up so that it never claims more than is known. */
export function uncertainty(um: number, unit: Unit): string {
  const places = unit === 'mm' ? 4 : 2;
  const scaled = Number(((um / UM_PER[unit]) * 10 ** places).toPrecision(12));
  return `±${(Math.ceil(scaled) / 10 ** places).toFixed(places)} ${unit}`;
}

/** A place on the board. */
export function place(x: number, y: number, unit: Unit): string {
  const places = unit === 'mm' ? 3 : 1;
  return `x ${fixed(x, unit, places)}, y ${fixed(y, unit, places)}`;
}

/** The size of a board: "70.00 × 45.00 mm". */
export function size(width: number | null, height: number | null, unit: Unit): string {
  if (width === null || height === null || width <= 0) return 'not known';
  const places = unit === 'mm' ? 2 : 0;
  return `${fixed(width, unit, places)} × ${fixed(height, unit, places)} ${unit}`;
}

/** The size of a file. */
export function bytes(count: number): string {
  if (count < 1000) return `${count} B`;
  if (count < 1_000_000) return `${(count / 1000).toFixed(1)} kB`;
  return `${(count / 1_000_000).toFixed(1)} MB`;
}

import type { Board, DataFile, Least, Severity, Verdict } from './types';

export const SEVERITY: Record<Severity, { word: string; meaning: string }> = {
  stop: { word: 'Stop', meaning: 'cannot go on without it' },
  ask: { word: 'Ask', meaning: 'needs an answer before tooling' },
  note: { word: 'Note', meaning: 'to tell; no answer needed' },
  fix: { word: 'Fix', meaning: 'done under a standing permission' },
};

const FACTS: Record<string, string> = {
  gap: 'gap between nets',
  width: 'track width',
  'ring-drawn': 'annular ring, as drawn',
  'hole-to-copper': 'hole to foreign copper',
  'hole-to-hole': 'hole to hole',
  'copper-to-edge': 'copper to edge',
  'hole-to-edge': 'hole to edge',
  web: 'mask web',
  'mask-clearance': 'mask clearance',
  'inner-corner': 'radius of an inner corner',
  bridge: 'board left between cuts',
  tab: 'tab between slots',
  'cut-out': 'width of a cut-out',
  'copper-to-score': 'copper to score line',
  joint: 'hole reaching into copper',
  neck: 'hair of copper',
};

/** What a kind of fact is called. */
export function factName(fact: string): string {
  return FACTS[fact] ?? fact.replaceAll('-', ' ');
}

const KINDS: Record<string, string> = {
  unplated: 'non-plated',
  'press-fit': 'press-fit',
  'half-hole': 'half-hole',
  'half-hole-row': 'half-holes',
  'land-stack': 'lands without a hole',
  'unplated-land': 'non-plated hole in copper',
  'cut-copper': 'copper cut by a hole',
  'doubled-cut-out': 'opening given twice',
};

/** What a kind of hole or feature is called. */
export function kindName(kind: string): string {
  return KINDS[kind] ?? kind.replaceAll('-', ' ');
}

function counted(count: number, one: string, many: string): string {
  return `${count} ${count === 1 ? one : many}`;
}

/** The verdict in words: "3 questions, 1 note". */
export function headline(verdict: Verdict, board: Board): string {
  if (board.copper_layers === 0) return 'No verdict: no copper layer was found in the data';
  const grave = [
    verdict.stop > 0 ? counted(verdict.stop, 'stop', 'stops') : '',
    verdict.ask > 0 ? counted(verdict.ask, 'question', 'questions') : '',
  ].filter(Boolean);
  const light = [
    verdict.note > 0 ? counted(verdict.note, 'note', 'notes') : '',
    verdict.fix > 0 ? counted(verdict.fix, 'fix', 'fixes') : '',
  ].filter(Boolean);
  if (grave.length > 0) return [...grave, ...light].join(', ');
  const nothing = 'No question: nothing here needs an answer';
  return light.length > 0 ? `${nothing}; ${light.join(', ')}` : nothing;
}

/** The least value of each kind of fact over all layers, in the order the kinds first come. */
export function leastOfEach(measured: Least[]): Least[] {
  const best = new Map<string, Least>();
  for (const fact of measured) {
    const known = best.get(fact.fact);
    if (!known || fact.least_um < known.least_um) best.set(fact.fact, fact);
  }
  return [...best.values()];
}

/** Where a fact was measured. */
export function layerName(fact: Pick<Least, 'layer' | 'on'>): string {
  if (fact.on) return fact.on;
  return fact.layer === null ? '' : `copper ${fact.layer}`;
}

/** What a file is, in words: "copper 1, top". */
export function fileRole(file: DataFile): string {
  const role = file.role.replaceAll('-', ' ');
  if (file.layer !== null) return `${role} ${file.layer}`;
  return role;
}

/** The words the service takes for "this file is that", for every role a file can have. */
export function roleChoices(copperLayers: number): { value: string; text: string }[] {
  const layers = Math.max(copperLayers, 2);
  const side = (n: number) => (n === 1 ? 'top' : n === layers ? 'bottom' : 'inner');
  const copper = Array.from({ length: layers }, (_, i) => i + 1).map((n) => ({
    value: `copper ${side(n)} ${n}`,
    text: `copper ${n} (${side(n)})`,
  }));
  const sided = ['mask', 'legend', 'paste'].flatMap((role) =>
    ['top', 'bottom'].map((s) => ({ value: `${role} ${s}`, text: `${role}, ${s}` })),
  );
  const plain = ['outline', 'plated-holes', 'unplated-holes', 'holes', 'netlist', 'job', 'drawing', 'other'];
  return [...copper, ...sided, ...plain.map((role) => ({ value: role, text: role.replaceAll('-', ' ') }))];
}

/** How sure, in words beside the figure. */
export function confidence(value: number): string {
  const percent = `${Math.round(value * 100)} %`;
  if (value >= 0.95) return `${percent}, sure`;
  return value >= 0.75 ? `${percent}, likely` : `${percent}, a guess`;
}

const STAGES: Record<string, string> = {
  upload: 'Sending the files',
  read: 'Reading the files',
  place: 'Deciding what each file is',
  image: 'Drawing the final copper',
  measure: 'Measuring gaps, widths, rings and webs',
  ask: 'Wording the queries',
};

export const STAGE_ORDER = ['upload', 'read', 'place', 'measure', 'ask'];

/** What a stage of the work does. */
export function stageText(stage: string): string {
  return STAGES[stage] ?? stage;
}

/** The place of a stage in the order shown; drawing the copper belongs to measuring. */
export function stageIndex(stage: string): number {
  return STAGE_ORDER.indexOf(stage === 'image' ? 'measure' : stage);
}

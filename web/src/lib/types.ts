// What the HTTP API speaks. Lengths are micrometres, as the keys say.

export type Severity = 'stop' | 'ask' | 'note' | 'fix';
export type Point = [number, number];

export interface Remark {
  code: string;
  severity: 'error' | 'warning' | 'info';
  line: number;
  column: number;
  text: string;
  expected?: string | null;
  action?: string;
  /** How many more of its kind were left out. */
  more?: number;
  excerpt?: { text: string; caret: number } | null;
  two_readings?: TwoReadings[];
}

/** A place of a file that can be read in two ways. */
export interface TwoReadings {
  line: number;
  at_um: Point;
  differ_mm2: number;
  thick_um: number;
  areas_mm2: [number, number] | null;
}

export interface DataFile {
  path: string;
  bytes: number;
  kind: string;
  role: string;
  side: string | null;
  layer: number | null;
  span: [number, number] | null;
  known_by: string;
  confidence: number;
  evidence?: string[];
  runner_up?: string | null;
  format?: string | null;
  registration?: Registration | null;
  remarks: Remark[];
}

/** How a file lies on the rest of the board. */
export interface Registration {
  against: string;
  points: number;
  as_sent: Laid;
  better: Laid | null;
  pure_shift: boolean;
}

/** One way to lay a file: mirrored, turned about the board's middle, scaled about the origin, then shifted. */
export interface Laid {
  mirrored: boolean;
  turned_deg: number;
  scale: number;
  shift_um: Point;
  share: number;
  max_um: number | null;
  rms_um: number | null;
}

/** Holes of one kind and plating with the same reasons; the first five places. */
export interface HoleGroup {
  kind: string;
  plating: string;
  count: number;
  why: string[];
  places_um: Point[];
}

/** Features of one kind on one layer with the same reasons; the first five places. */
export interface FeatureGroup {
  kind: string;
  layer: string | null;
  count: number;
  why: string[];
  places_um: Point[];
}

export interface Board {
  width_um: number | null;
  height_um: number | null;
  area_mm2?: number | null;
  copper_layers: number;
  outline: string;
  thickness_um: number | null;
  nets: number;
  holes: {
    plated: number;
    unplated: number;
    unclear: number;
    slots: number;
    smallest_finished_um: number | null;
    smallest_drilled_um: number | null;
  };
  hole_kinds?: HoleGroup[];
  features?: FeatureGroup[];
  layers: { layer: number; side: string; copper_mm2: number; islands: number }[];
}

export interface Least {
  fact: string;
  layer: number | null;
  on?: string | null;
  least_um: number;
  uncertainty_um: number;
  at_um: Point;
  counted: number;
}

export interface Place {
  x_um: number;
  y_um: number;
  measured_um: number | null;
  drawn_um?: number | null;
  layer?: string | null;
  nets: string[];
  sources: { file: string; line: number | null }[];
}

export interface Option {
  key: string;
  text: string;
  recommended: boolean;
}

export interface Query {
  number: number;
  rule: string;
  severity: Severity;
  title: string;
  what: string;
  why: string;
  layers: string[];
  measured_um: number | null;
  required_um: number | null;
  uncertainty_um: number | null;
  required_by: string | null;
  count: number;
  places: Place[];
  reasons: string[];
  options: Option[];
  fingerprint: string;
}

export interface Ran {
  rule: string;
  looked_at?: number;
  found?: number;
  not_run?: string;
}

export interface Verdict {
  stop: number;
  ask: number;
  note: number;
  fix: number;
}

export interface Report {
  landgap: string;
  report: number;
  data: { id: string; files: DataFile[] };
  board: Board;
  measured: Least[];
  not_measured?: { fact: string; reason: string }[];
  capability: { name: string; sha256: string } | null;
  assumptions: string[];
  ran: Ran[];
  queries: Query[];
  covered: Query[];
  verdict: Verdict;
  cautions: string[];
}

export interface Order {
  thickness_um?: number;
  copper_um?: number;
  finish?: string;
  mask_colour?: string;
  class?: number;
  quantity?: number;
}

export type Told = Record<string, string>;

export interface CheckRequest {
  data_set: string;
  capability: string;
  order: Order;
  told?: Told;
}

export interface Check {
  id: string;
  state?: string;
  data_set?: string;
  capability?: string;
  order?: Order;
  told?: Told;
  problem?: Problem;
}

export interface Progress {
  stage: string;
  done: number;
  of: number;
  text?: string;
}

export interface Problem {
  type: string;
  title: string;
  status: number;
  detail: string;
  action?: string;
  advice?: string;
}

export interface Named {
  name: string;
  title?: string;
  about?: string;
}

export interface Rule {
  name: string;
  group: string;
  page: string;
}

export interface DemoSet {
  id: string;
  title: string;
}

// A hand-made report of a Tarn Row board, for developing the page without the service.

const place = (x_um, y_um, measured_um, nets, file, line, layer) => ({
  x_um, y_um, measured_um, drawn_um: measured_um, layer: layer ?? null,
  between_um: [[x_um, y_um], [x_um, y_um]], nets, sources: [{ file, line }],
});

const query = (number, rule, severity, rest) => ({
  number, rule, severity, layers: [], measured_um: null, required_um: null, uncertainty_um: null, required_by: null,
  reasons: [], options: [], fingerprint: `mock-${rule}-${number}`, count: rest.places?.length ?? 0, places: [], ...rest,
});

const options = (a, b, c) => [a, b, c].filter(Boolean).map((text, i) => ({ key: 'ABC'[i], text, recommended: i === 0 }));

const queries = [
  query(1, 'thin-ring', 'stop', {
    title: 'The annular ring of 3 plated holes is thinner than can be made.',
    what: 'On copper 1 and copper 4 the hole of a via comes so near the edge of its land that, drilled 0.10 mm larger for plating, 0.02 mm of copper is left on one side.',
    why: 'A hole that breaks out of its land may lose its joint to the track: scrap, or a failure in use.',
    layers: ['copper 1', 'copper 4'], measured_um: 20, required_um: 75, uncertainty_um: 0.002,
    required_by: 'standard, holes.ring.outer at 18 µm copper (handbook value, class 2)',
    places: [
      place(22130, 5000, 20, ['GND'], 'buoy-logger-plated.xnc', 21, 'copper 1'),
      place(22130, 5000, 20, ['GND'], 'buoy-logger-plated.xnc', 21, 'copper 4'),
      place(24000, 5000, 30, ['GND'], 'buoy-logger-copper-1.gbr', 412, 'copper 1'),
    ],
    reasons: ['The hole is plated: its file says so.', 'It is a via: its tool carries the function ViaDrill.', 'Drilled 0.400 mm: finished 0.300 mm and an allowance of 0.100 mm.', 'The land is a disc of 0.700 mm; its centre lies 0.130 mm from the hole.'],
    options: options('We move the hole to the middle of its land, and grow the smaller land to 0.70 mm where there is room.', 'You send new data.', 'Accept break-out at these three places; the joint is not guaranteed.'),
  }),
  query(2, 'tight-gap', 'ask', {
    title: 'Tracks of different nets come closer than 0.100 mm at 2 places.',
    what: 'On copper 4 a track of BENCH5 is bent towards a track of BENCH4 and runs beside it for 2 mm.',
    why: 'Copper may be left between the tracks when the board is etched, and join the two nets.',
    layers: ['copper 4'], measured_um: 99.98, required_um: 100, uncertainty_um: 0.001,
    required_by: 'standard, copper.gap.outer at 18 µm copper',
    places: [place(52000, 5140, 99.98, ['BENCH4', 'BENCH5'], 'buoy-logger-copper-4.gbr', 301), place(51200, 5300, 99.99, ['BENCH4', 'BENCH5'], 'buoy-logger-copper-4.gbr', 300)],
    reasons: ['The two pieces of copper are joined by no hole: they are different nets.', 'The gap is measured on the final image of the layer.'],
    options: options('We move the upper track away by 0.05 mm.', 'Accept as drawn.', 'You send new data.'),
  }),
  query(3, 'thin-web', 'ask', {
    title: 'The solder mask between two lands is too thin to hold.',
    what: 'The web between the openings over U1 pins 1 and 2 is 0.060 mm wide over 1.65 mm.',
    why: 'A thin web breaks off; solder may then bridge the pins.',
    layers: ['top mask'], measured_um: 60, required_um: 100, uncertainty_um: 0.5,
    required_by: 'standard, mask.web for film, green',
    places: [place(31750, 24545, 60, ['XOUT', 'XIN'], 'buoy-logger-mask-top.gbr', 44)],
    reasons: ['The mask colour is green because the order says so.'],
    options: options('We shrink the opening over pin 1 to 0.075 mm round the land.', 'Drop the web: one opening over both lands.'),
  }),
  query(4, 'padless-plated-hole', 'ask', {
    title: 'A plated hole has no land on any layer.',
    what: 'The hole of J2 pin 6, 1.000 mm, is in the file of plated holes, but no layer has copper round it.',
    why: 'Its plating has nothing to hold on to; perhaps it was meant not to be plated.',
    layers: ['copper 1', 'copper 4'],
    places: [place(65000, 13250, null, [], 'buoy-logger-plated.xnc', 74)],
    options: options('Make it non-plated.', 'We add a land of 1.60 mm on copper 1 and copper 4.', 'Plate it without a land, as drawn.'),
  }),
  query(5, 'copper-near-edge', 'note', {
    title: 'Copper lies closer than 0.250 mm to the edge.',
    what: 'A track of BENCH1 on copper 1 ends 0.120 mm from the lower edge.',
    why: 'The cutter may bare it.',
    layers: ['copper 1'], measured_um: 120, required_um: 250, uncertainty_um: 0.001, required_by: 'standard, outline.copper.outer',
    places: [place(58000, 60, 120, ['BENCH1'], 'buoy-logger-copper-1.gbr', 398)],
  }),
];

const file = (path, bytes, kind, role, side, layer, rest = {}) => ({
  path: `buoy-logger-${path}`, sha256: 'a'.repeat(64), bytes, kind, role, side, layer, span: null, known_by: 'attribute',
  confidence: 1, evidence: ['The file says so itself (.FileFunction).'], runner_up: null, format: null, remarks: [], ...rest,
});

const files = [
  file('copper-1.gbr', 18577, 'artwork', 'copper', 'top', 1),
  file('copper-2.gbr', 4656, 'artwork', 'copper', 'inner', 2),
  file('copper-3.gbr', 3896, 'artwork', 'copper', 'inner', 3),
  file('copper-4.gbr', 7348, 'artwork', 'copper', 'bottom', 4),
  file('legend-top.gbr', 32397, 'artwork', 'legend', 'top', null),
  file('mask-top.gbr', 4653, 'artwork', 'mask', 'top', null),
  file('mask-bottom.gbr', 1838, 'artwork', 'mask', 'bottom', null),
  file('outline.gbr', 717, 'artwork', 'outline', null, null, { remarks: [{ code: 'wide-line', severity: 'info', line: 13, column: 1, text: 'The outline is drawn with a pen of 0.1 mm; its centre line is taken as the edge.' }] }),
  file('plated.xnc', 2031, 'drill', 'plated-holes', null, null, { span: [1, 4], format: 'decimal millimetres, as its header says' }),
  file('unplated.txt', 493, 'drill', 'unplated-holes', null, null, {
    span: [1, 4], known_by: 'content', confidence: 0.68, format: 'millimetres, 3.3, trailing zeros kept',
    evidence: ['6 of 7 holes have no copper round them.', 'The name has the word "unplated".'], runner_up: 'plated holes',
    remarks: [{ code: 'no-format', severity: 'warning', line: 1, column: 1, text: 'The file does not state its number format. Three readings were tried; one puts every hole on the board.' }],
  }),
];

const least = (fact, layer, least_um, x, y, counted, on) => ({
  fact, layer, on: on ?? (layer ? `copper ${layer}` : null), least_um, uncertainty_um: 0.001, at_um: [x, y], counted, looked_at: counted * 3,
});

/** The report; an order that states everything leaves less to assume. */
export function report(order = {}, capability = 'standard', clean = false) {
  const list = clean ? [] : capability === 'advanced' ? queries.filter((q) => q.rule !== 'thin-web') : queries;
  const numbered = list.map((q, i) => ({ ...q, number: i + 1 }));
  const count = (severity) => numbered.filter((q) => q.severity === severity).length;
  const assumptions = [
    order.thickness_um ? null : 'The board is 1.60 mm thick.',
    order.copper_um ? null : 'Base copper is 18 µm outside and 35 µm inside.',
    order.mask_colour ? null : 'The solder mask is green.',
    order.class ? null : 'Product class 2 applies.',
    'Drilled plated holes are 0.10 mm larger than their finished size (common practice, no source).',
  ].filter(Boolean);
  return {
    landgap: '0.1.0', report: 1,
    data: { id: 'sha256:5f0c2a7be1d94c6aa2b8', files },
    board: {
      width_um: 70000, height_um: 45000, area_mm2: 3132.1, copper_layers: 4, outline: 'closed', thickness_um: order.thickness_um ?? 1600, nets: 45,
      holes: { plated: 97, unplated: 7, unclear: 0, slots: 1, smallest_finished_um: 75, smallest_drilled_um: 175 },
      hole_kinds: [
        { kind: 'via', plating: 'plated', count: 62, why: ['its file holds plated holes', 'its tool carries the attribute ViaDrill'], places_um: [[20000, 5000], [22000, 5000], [24000, 5000], [26000, 5000], [30000, 5000]] },
        { kind: 'mounting', plating: 'unplated', count: 4, why: ['its file holds non-plated holes', 'mounting hole because it is large, stands near a corner and few are like it'], places_um: [[4000, 4000], [66000, 4000], [4000, 41000], [66000, 41000]] },
      ],
      features: [
        { kind: 'fiducial', layer: 'copper 1', count: 2, why: ['a round land stands alone in a clear ring'], places_um: [[3000, 8000], [67000, 37000]] },
      ],
      layers: [1, 2, 3, 4].map((layer) => ({ layer, side: ['top', 'inner', 'inner', 'bottom'][layer - 1], copper_mm2: 300, islands: 1 })),
    },
    measured: [
      least('gap', 1, 218.2, 64600, 22900, 34), least('gap', 4, 99.98, 52000, 5140, 12), least('width', 1, 80, 52000, 8200, 1),
      least('ring-drawn', 1, 70, 22130, 5000, 96), least('ring-drawn', 4, 70, 22130, 5000, 96), least('hole-to-copper', 3, 150, 20000, 5000, 80),
      least('hole-to-hole', null, 120, 30210, 5000, 4), least('copper-to-edge', 1, 120, 58000, 60, 1), least('hole-to-edge', null, 250, 35000, 125, 5),
      least('web', null, 60, 31750, 24545, 14, 'top mask'),
    ],
    not_measured: [],
    capability: { name: capability, sha256: 'c41f9e77aa02'.padEnd(64, '0') }, assumptions,
    ran: [
      { rule: 'thin-ring', looked_at: 388, found: clean ? 0 : 3 }, { rule: 'tight-gap', looked_at: 4120, found: clean ? 0 : 2 }, { rule: 'narrow-track', looked_at: 611, found: 0 },
      { rule: 'thin-web', looked_at: 214, found: clean ? 0 : 1 }, { rule: 'padless-plated-hole', looked_at: 97, found: clean ? 0 : 1 }, { rule: 'copper-near-edge', looked_at: 4, found: clean ? 0 : 1 },
      { rule: 'holes-too-close', looked_at: 5356, found: 0 }, { rule: 'short', not_run: 'there is no netlist in the data' }, { rule: 'open', not_run: 'there is no netlist in the data' },
    ],
    queries: numbered, covered: [],
    verdict: { stop: count('stop'), ask: count('ask'), note: count('note'), fix: count('fix') },
    cautions: [
      'Everything here is an estimate made from the data that were sent. It is not an approval of the board or of the data.',
      'Spacing at high voltage, safety insulation, creepage and clearance are not judged. They belong to the responsible engineer and to the codes in force where the board is used.',
      "The limits come from the capability profile named above. The shop's own engineer decides what can be built.",
    ],
  };
}

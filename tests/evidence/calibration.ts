/**
 * Calibrations of a machine whose truth is known: do the 95 % limits hold it, and is what went wrong found out? Every data
 * set is the form of a sheet of 600 x 400 mm filled in, with errors drawn anew; what is in doubt is not written and counts
 * apart.
 */

import { isDoubtful } from '../../src/calibration/calibrate.js';
import { calibrateBeam } from '../../src/calibration/parts/beam.js';
import { calibrateBed } from '../../src/calibration/parts/bed.js';
import { calibrateKerf } from '../../src/calibration/parts/kerf.js';
import type { BurntDot, KerfMeasurement, PointerReading } from '../../src/calibration/parts/measurements.js';
import type { MeasuredLength } from '../../src/calibration/parts/network.js';
import { calibratePointer } from '../../src/calibration/parts/pointer.js';
import { layOutSheet } from '../../src/calibration/sheet/sheet.js';
import { formKerf, formLengths, formReadings } from '../../src/calibration/sheet/sheet-forms.js';
import type { Warning } from '../../src/job/messages.js';
import { displayToTrue } from '../../src/marks/frames.js';
import { createRandom, type RandomSource } from '../../src/numeric/random.js';

/** What came of one data set. */
interface Outcome {
  /** Whether the limits of each figure hold its truth; undefined where none are stated. */
  readonly held: readonly (boolean | undefined)[];
  readonly warnings: readonly Warning[];
  /** Nothing is proposed, in doubt or not. */
  readonly nothing: boolean;
}

export interface CalibrationScenario {
  readonly kind: 'pointer' | 'bed' | 'kerf' | 'beam';
  readonly name: string;
  readonly draw: (random: RandomSource) => Outcome;
  /** A mistake was made: the code or words that name it. */
  readonly named?: (warnings: readonly Warning[]) => boolean;
}

export interface CalibrationRow {
  readonly kind: string;
  readonly name: string;
  /** Data sets that would be written, in %, and of the limits stated in these, those that hold, in %, per figure. */
  readonly written: number;
  readonly held: readonly number[];
  /** In doubt and the mistake named, in %; undefined without a mistake. */
  readonly named?: number;
}

const sheet = layOutSheet([600, 400], 'y-up');
const within = (limits: readonly [number, number] | undefined, truth: number): boolean | undefined =>
  limits === undefined ? undefined : limits[0] <= truth && truth <= limits[1];
const rounded = (value: number, step: number): number =>
  step === 0 ? value : Number((Math.round(value / step) * step).toFixed(6));

interface BedCase {
  readonly sd: number;
  readonly crossSd?: number;
  readonly stated?: boolean;
  readonly step?: number;
  /** Relative error of the rule, in units of the bound of class 2. */
  readonly rule?: (random: RandomSource) => number;
  readonly mistake?: (lengths: MeasuredLength[], random: RandomSource) => void;
}

export const bedDraw =
  ({ sd, crossSd = 0, stated = true, step = 0.01, rule, mistake }: BedCase) =>
  (random: RandomSource): Outcome => {
    const truth = {
      scale: [1 + 0.002 * random.normal(), 1 + 0.002 * random.normal()] as const,
      skew: 0.001 * random.normal(),
    };
    const toTrue = displayToTrue({ axes: 'y-up', bedMap: truth });
    const spans = formLengths(sheet);
    const places = new Map(
      sheet.points.map(({ name, at }) => {
        const p = toTrue(at);
        return [name, { x: p.x + crossSd * random.normal(), y: p.y + crossSd * random.normal() }];
      }),
    );
    // Class 2 up to a metre: 0.5 mm, over the longest length of this sheet.
    const relative = rule === undefined ? 0 : (rule(random) * 0.5) / 652;
    const lengths = spans.map(({ from, to }, i): MeasuredLength => {
      const [p, q] = [places.get(from.name)!, places.get(to.name)!];
      const length = Math.hypot(q.x - p.x, q.y - p.y) * (1 + relative) + sd * random.normal();
      return {
        from: from.at,
        to: to.at,
        names: [from.name, to.name],
        length: rounded(length, step),
        ...(stated ? { sd } : {}),
        where: { line: i + 2 },
      };
    });
    mistake?.(lengths, random);
    const outcome = calibrateBed(lengths, rule === undefined ? {} : { rule: { class: 2 } });
    if (!outcome.ok) throw new Error(outcome.failure.reason);
    const { scale, skew, warnings, proposal } = outcome.bed;
    return {
      held: [
        within(scale.x.limits, truth.scale[0]),
        within(scale.y.limits, truth.scale[1]),
        within(skew.limits, truth.skew),
      ],
      warnings,
      nothing: Object.keys(proposal.set).length === 0,
    };
  };

interface KerfCase {
  readonly sd: number;
  readonly passSd?: number;
  readonly stated?: boolean;
  readonly step?: number;
  readonly mistake?: (measurements: KerfMeasurement[], random: RandomSource) => void;
}

export const kerfDraw =
  ({ sd, passSd = 0, stated = true, step = 0.01, mistake }: KerfCase) =>
  (random: RandomSource): Outcome => {
    const truth = 0.1 + 0.2 * random.uniform() + (passSd > 0.03 ? 0.1 : 0);
    const pass = (): number => truth + passSd * random.normal();
    const cuts = new Map<string, readonly number[]>();
    const measurements = formKerf(sheet).map(({ kind, count = 1, drawn = 0, cut }, i): KerfMeasurement => {
      const passes = cuts.get(cut) ?? Array.from({ length: kind === 'strips' ? count + 1 : 2 }, pass);
      cuts.set(cut, passes);
      const common = { ...(stated ? { sd } : {}), cut, where: { line: i + 2 } };
      const read = (value: number): number => rounded(value + sd * random.normal(), step);
      // Half of the first pass and of the last, and all between, are lost or won.
      const lost = passes.slice(1, -1).reduce((a, b) => a + b, 0) + (passes[0]! + passes.at(-1)!) / 2;
      if (kind === 'pair') return { kind, hole: read(30 + lost), piece: read(30 - lost), ...common };
      return {
        kind,
        count,
        drawn,
        measured: read(count * drawn + (kind === 'strips' ? -lost : lost)),
        ...common,
      };
    });
    mistake?.(measurements, random);
    const { kerf, kerfSd, warnings, proposal } = calibrateKerf(measurements, 'kerf.csv');
    const next = truth + passSd * random.normal();
    return {
      held: [
        within(kerf.limits, truth),
        kerfSd === undefined ? undefined : Math.abs(kerf.value - next) <= 1.96 * kerfSd,
      ],
      warnings,
      nothing: Object.keys(proposal.set).length === 0,
    };
  };

interface BeamCase {
  readonly sd: number;
  readonly cutSd?: number;
  readonly dots?: number;
  readonly step?: number;
  readonly mistake?: (dots: BurntDot[], random: RandomSource) => void;
}

export const beamDraw =
  ({ sd, cutSd = 0, dots: count = 5, step = 0.01, mistake }: BeamCase) =>
  (random: RandomSource): Outcome => {
    const truth = { x: random.normal(), y: random.normal() };
    const dots = sheet.dots.slice(0, count).map(({ name, at }): BurntDot => {
      const read = (v: number): number => rounded(v + Math.hypot(sd, cutSd) * random.normal(), step);
      return {
        name,
        commanded: at,
        readings: [{ x: read(at.x + truth.x), y: read(at.y + truth.y) }],
        burnt: 'figure',
        directions: [{ x: 'up', y: 'up' }],
        where: {},
      };
    });
    mistake?.(dots, random);
    const { x, y, warnings, proposal } = calibrateBeam(dots, count === 1 ? { readingSd: sd } : {});
    const unsure = x.limits === undefined;
    return {
      held: [within(x.limits, truth.x), within(y.limits, truth.y)],
      warnings,
      nothing: unsure || Object.keys(proposal.set).length === 0,
    };
  };

interface PointerCase {
  readonly sd: number;
  readonly step?: number;
  /** A second person reads the third and fourth round, with a habit this sd apart from the first per axis; 0: with the same. */
  readonly habitSd?: number;
  readonly mistake?: (readings: PointerReading[], random: RandomSource) => void;
}

export const pointerDraw =
  ({ sd, step = 0.01, habitSd, mistake }: PointerCase) =>
  (random: RandomSource): Outcome => {
    const reversal = { x: 0.1 * random.normal(), y: 0.1 * random.normal() };
    const places = new Map(
      sheet.points.map(({ name, at }) => [name, { x: at.x + random.uniform(), y: at.y + random.uniform() }]),
    );
    const habit =
      habitSd === undefined ? undefined : { x: habitSd * random.normal(), y: habitSd * random.normal() };
    const readings = formReadings.map(({ mark, direction }, i): PointerReading => {
      const isSecond = habit !== undefined && i >= 8 && i < 16;
      const eye = isSecond ? habit : { x: 0, y: 0 };
      const p = places.get(mark)!;
      const side = direction === 'up' ? 0.5 : -0.5;
      const read = (v: number): number => rounded(v + sd * random.normal(), step);
      return {
        mark,
        direction,
        ...(habit === undefined ? {} : { who: isSecond ? 'second' : 'first' }),
        at: { x: read(p.x + side * reversal.x + eye.x), y: read(p.y + side * reversal.y + eye.y) },
        where: { line: i + 2 },
      };
    });
    mistake?.(readings, random);
    const {
      both,
      isCoarse,
      reversal: found,
      habits: [between],
      warnings,
      proposal,
    } = calibratePointer(readings, 'pointer.csv');
    const shown = Math.hypot(sd, step / Math.sqrt(12));
    return {
      held: [
        // Where the step hides the scatter no limits are claimed for the sd.
        isCoarse ? undefined : within([both.low, both.high], shown),
        within(found!.x.limits, reversal.x),
        ...(habit === undefined ? [] : [within(between!.limits, Math.hypot(habit.x, habit.y))]),
      ],
      warnings,
      nothing: Object.keys(proposal.set).length === 0,
    };
  };

const says =
  (words: string) =>
  (warnings: readonly Warning[]): boolean =>
    warnings.some((w) => w.message.includes(words));

const exchange = <T, K extends keyof T>(list: T[], i: number, j: number, key: K): void => {
  [list[i], list[j]] = [
    { ...list[i]!, [key]: list[j]![key] },
    { ...list[j]!, [key]: list[i]![key] },
  ];
};

export const calibrationScenarios: readonly CalibrationScenario[] = [
  { kind: 'pointer', name: 'sd 0.05, display 0.01', draw: pointerDraw({ sd: 0.05 }) },
  { kind: 'pointer', name: 'sd 0.05, display 0.05', draw: pointerDraw({ sd: 0.05, step: 0.05 }) },
  { kind: 'pointer', name: 'sd 0.05, display 0.1', draw: pointerDraw({ sd: 0.05, step: 0.1 }) },
  { kind: 'pointer', name: 'sd 0.02, display 0.1', draw: pointerDraw({ sd: 0.02, step: 0.1 }) },
  { kind: 'pointer', name: 'sd 0.1, display 0.5', draw: pointerDraw({ sd: 0.1, step: 0.5 }) },
  { kind: 'pointer', name: 'two readers alike', draw: pointerDraw({ sd: 0.05, habitSd: 0 }) },
  { kind: 'pointer', name: 'two readers, 0.1 apart', draw: pointerDraw({ sd: 0.05, habitSd: 0.1 }) },
  {
    kind: 'pointer',
    name: 'two readers, 0.1 apart, display 0.1',
    draw: pointerDraw({ sd: 0.05, step: 0.1, habitSd: 0.1 }),
  },
  {
    kind: 'pointer',
    name: 'x and y of a row exchanged',
    draw: pointerDraw({
      sd: 0.05,
      mistake: (r, random) => {
        const i = random.index(r.length);
        r[i] = { ...r[i]!, at: { x: r[i]!.at.y, y: r[i]!.at.x } };
      },
    }),
    named: (w) => w.some((one) => one.code === 'columns-exchanged' || one.code === 'suspect-reading'),
  },
  {
    kind: 'pointer',
    name: 'rows of two marks exchanged',
    draw: pointerDraw({
      sd: 0.05,
      mistake: (r, random) => exchange(r, 4 * random.index(6), 4 * random.index(6) + 1, 'at'),
    }),
    named: says('is one of mark'),
  },
  { kind: 'bed', name: 'sd 0.1', draw: bedDraw({ sd: 0.1 }) },
  { kind: 'bed', name: 'sd 0.1, crosses 0.05', draw: bedDraw({ sd: 0.1, crossSd: 0.05 }) },
  { kind: 'bed', name: 'sd 0.1, crosses 0.15', draw: bedDraw({ sd: 0.1, crossSd: 0.15 }) },
  { kind: 'bed', name: 'sd 0.1 not stated', draw: bedDraw({ sd: 0.1, stated: false }) },
  {
    kind: 'bed',
    name: 'sd 0.1 not stated, crosses 0.1',
    draw: bedDraw({ sd: 0.1, crossSd: 0.1, stated: false }),
  },
  { kind: 'bed', name: 'sd 0.1, rule read to 0.5', draw: bedDraw({ sd: 0.1, step: 0.5 }) },
  {
    kind: 'bed',
    name: 'sd 0.1 not stated, rule read to 0.5',
    draw: bedDraw({ sd: 0.1, step: 0.5, stated: false }),
  },
  { kind: 'bed', name: 'sd 0.1, a rule at the limit of class 2', draw: bedDraw({ sd: 0.1, rule: () => 1 }) },
  {
    kind: 'bed',
    name: 'sd 0.1, rules spread over class 2',
    draw: bedDraw({ sd: 0.1, rule: (random) => 2 * random.uniform() - 1 }),
  },
  {
    kind: 'bed',
    name: 'diagonals exchanged',
    draw: bedDraw({ sd: 0.1, mistake: (l) => exchange(l, 4, 5, 'length') }),
    named: says('diagonals'),
  },
  {
    kind: 'bed',
    name: 'one length 1 mm off',
    draw: bedDraw({
      sd: 0.1,
      mistake: (l, random) => {
        const i = random.index(l.length);
        l[i] = { ...l[i]!, length: l[i]!.length + 1 };
      },
    }),
    named: says('was measured as'),
  },
  { kind: 'kerf', name: 'sd 0.02, the same in every cut', draw: kerfDraw({ sd: 0.02 }) },
  { kind: 'kerf', name: 'sd 0.02, from cut to cut 0.01', draw: kerfDraw({ sd: 0.02, passSd: 0.01 }) },
  { kind: 'kerf', name: 'sd 0.02, from cut to cut 0.03', draw: kerfDraw({ sd: 0.02, passSd: 0.03 }) },
  { kind: 'kerf', name: 'sd 0.02 not stated', draw: kerfDraw({ sd: 0.02, stated: false }) },
  {
    kind: 'kerf',
    name: 'sd 0.02 not stated, from cut to cut 0.03',
    draw: kerfDraw({ sd: 0.02, passSd: 0.03, stated: false }),
  },
  { kind: 'kerf', name: 'sd 0.02, caliper read to 0.05', draw: kerfDraw({ sd: 0.02, step: 0.05 }) },
  {
    kind: 'kerf',
    name: 'strips not pressed together (0.05 in each gap)',
    draw: kerfDraw({
      sd: 0.02,
      mistake: (m) => {
        for (const i of [0, 1])
          m[i] = { ...m[i]!, measured: (m[i] as { measured: number }).measured + 0.45 } as KerfMeasurement;
      },
    }),
    named: says('not pressed together'),
  },
  {
    kind: 'kerf',
    name: 'strips miscounted by one',
    draw: kerfDraw({
      sd: 0.02,
      mistake: (m) => {
        for (const i of [0, 1]) m[i] = { ...m[i]!, count: 11 } as KerfMeasurement;
      },
    }),
    named: says('counted as'),
  },
  ...[1, 2, 3, 5].map(
    (dots): CalibrationScenario => ({
      kind: 'beam',
      name: `sd 0.05, ${dots === 1 ? 'one dot' : `${dots} dots`}`,
      draw: beamDraw({ sd: 0.05, dots }),
    }),
  ),
  { kind: 'beam', name: 'sd 0.05, display 0.1', draw: beamDraw({ sd: 0.05, step: 0.1 }) },
  { kind: 'beam', name: 'sd 0.02, display 0.1', draw: beamDraw({ sd: 0.02, step: 0.1 }) },
  {
    kind: 'beam',
    name: 'sent and read exchanged',
    draw: beamDraw({
      sd: 0.05,
      mistake: (dots) =>
        dots.forEach((d, i) => {
          dots[i] = { ...d, commanded: d.readings[0]!, readings: [d.commanded] };
        }),
    }),
    named: says('sent and what was read'),
  },
  {
    kind: 'beam',
    name: 'x and y of the readings exchanged',
    draw: beamDraw({
      sd: 0.05,
      mistake: (dots) =>
        dots.forEach((d, i) => {
          dots[i] = { ...d, readings: d.readings.map((r) => ({ x: r.y, y: r.x })) };
        }),
    }),
    named: says('x and y of the readings'),
  },
  {
    kind: 'beam',
    name: 'two dots read for each other',
    draw: beamDraw({ sd: 0.05, mistake: (dots) => exchange(dots, 1, 3, 'readings') }),
    named: says('are probably exchanged'),
  },
];

export const studyCalibration = (
  scenario: CalibrationScenario,
  trials: number,
  seed: string,
): CalibrationRow => {
  const random = createRandom(`${seed} ${scenario.kind} ${scenario.name}`);
  let written = 0;
  let named = 0;
  const held: number[] = [];
  const stated: number[] = [];
  for (let trial = 0; trial < trials; trial++) {
    const { held: each, warnings, nothing } = scenario.draw(random);
    const isWritten = !nothing && !isDoubtful(warnings);
    if (isWritten) written++;
    else if (scenario.named?.(warnings)) named++;
    each.forEach((one, i) => {
      held[i] ??= 0;
      stated[i] ??= 0;
      if (!isWritten || one === undefined) return;
      stated[i]! += 1;
      if (one) held[i]! += 1;
    });
  }
  return {
    kind: scenario.kind,
    name: scenario.name,
    written: (100 * written) / trials,
    held: held.map((count, i) => (100 * count) / stated[i]!),
    ...(scenario.named === undefined ? {} : { named: (100 * named) / trials }),
  };
};

const share = (value: number): string => (Number.isNaN(value) ? '-' : value.toFixed(1));

/** What the table shows. */
export const calibrationIntroduction = (trials: number, ofBed: boolean): readonly string[] => [
  ofBed
    ? '## Calibration of the bed: do the limits hold, is what went wrong found out?'
    : '## Calibration: do the limits hold, is what went wrong found out?',
  '',
  `${trials} data sets of the forms of a 600 x 400 mm sheet for each row, errors drawn anew. Written: not in doubt. Of those: how`,
  'often the 95 % limits hold the truth; pointer: sd, reversal in x, distance of two readers; bed: scale of x, of y, skew; kerf: kerf, and whether',
  'kerf-sd covers one further cut; beam: offset in x, in y. A dash: no limits are stated. Where nothing is shared, or a step',
  'hides the noise, limits are wider than need be, for nothing in the data shows that. Before: written / hold, as it was until',
  '2026-12-01, of the rows that fell short then.',
  '',
];

/** Rows that fell short. */
const shortBefore: Readonly<Record<string, string>> = {
  'pointer, sd 0.05, display 0.1': '97.1 / 92.2, 95.0',
  'pointer, x and y of a row exchanged': '8.7 / 72.4, 93.1',
  'kerf, sd 0.02, from cut to cut 0.03': '97.5 / 94.4, 92.1',
  'kerf, strips not pressed together (0.05 in each gap)': 'kerf 44.4',
  'bed, diagonals exchanged': 'skew 58.6',
};

/** Rows of the summary. */
export const calibrationRows = (rows: readonly CalibrationRow[]): string[] => [
  '| part | data | before | written, % | limits hold, % | mistake named, % |',
  '|---|---|---|---|---|---|',
  ...rows.map(
    ({ kind, name, written, held, named }) =>
      `| ${kind} | ${name} | ${shortBefore[`${kind}, ${name}`] ?? ''} | ${share(written)} | ${held.map(share).join(' / ')} | ${named === undefined ? '' : share(named)} |`,
  ),
];

/**
 * JSON Schema (draft 7) of the job file and of the machine profile, for editors that complete and
 * check keys. What the reader takes, the schema takes; rules that join several keys (a `dpi` beside
 * `units`) are the reader's alone. Built into dist/schemas; the program itself does not load it. A
 * test holds both against each other.
 */
import { type BoundName, bounds } from './bounds.js';
import { models } from './job.js';

type Schema = { readonly [key: string]: unknown };

const text = (description: string): Schema => ({ type: ['string', 'number', 'boolean'], description });

/** The reader also takes a number in quotes, with a decimal comma. */
const number = (name: BoundName, description = ''): Schema => {
  const { unit, above, atLeast, atMost, whole, why } = bounds[name] as {
    readonly unit?: string;
    readonly above?: number;
    readonly atLeast?: number;
    readonly atMost?: number;
    readonly whole?: true;
    readonly why: string;
  };
  const range = {
    ...(above === undefined ? {} : { exclusiveMinimum: above }),
    ...(atLeast === undefined ? {} : { minimum: atLeast }),
    ...(atMost === undefined ? {} : { maximum: atMost }),
  };
  const words = [description, unit, `bounds: ${why}`].filter((part) => part).join('; ');
  return {
    description: words,
    anyOf: [
      { type: whole ? 'integer' : 'number', ...range },
      { type: 'string', pattern: '^\\s*[+-]?(\\d+([.,]\\d*)?|[.,]\\d+)\\s*$' },
    ],
  };
};

const oneOf = (words: readonly string[], description: string): Schema => ({ enum: words, description });

const list = (items: Schema, more: Schema = {}): Schema => ({ type: 'array', items, ...more });

const pair = (one: Schema, description = ''): Schema =>
  list(one, { minItems: 2, maxItems: 2, ...(description ? { description } : {}) });

const object = (properties: Schema, more: Schema = {}): Schema => ({
  type: 'object',
  properties,
  additionalProperties: false,
  ...more,
});

const eitherOf = (description: string, ...options: readonly Schema[]): Schema => ({
  description,
  anyOf: options,
});

/** One word for both axes, or one for each. */
const perAxis = (words: readonly string[], description: string): Schema =>
  eitherOf(description, { enum: words }, pair({ enum: words }));

const flag: Schema = { enum: [true, false, 'true', 'false'] };

const day: Schema = { type: 'string', pattern: '^\\d{4}-\\d\\d-\\d\\d$', description: 'a day, 2026-11-20' };

const direction = perAxis(
  ['up', 'down'],
  'from which side the pointer came: up with rising figures on the display',
);

/** `[x, y]`, `{at, direction}`, or several of these. */
const readingsAt = (name: BoundName, description: string): Schema => {
  const at = pair(number(name));
  const directed = object({ at, direction }, { required: ['at'] });
  return eitherOf(description, at, directed, list(eitherOf('', at, directed), { minItems: 1 }));
};

const machineKeys: Schema = {
  name: text('for your eyes'),
  measured: eitherOf(
    'when, as a whole or part by part',
    day,
    object({ pointer: day, bed: day, kerf: day, beam: day }, { minProperties: 1 }),
  ),
  size: pair(number('machine.size'), 'width and height of the bed, mm'),
  axes: oneOf(['y-up', 'y-down'], 'which way the display counts y'),
  'reading-sd': number('machine.reading-sd', 'sd of one reading per axis'),
  'reading-sd-dof': number('machine.reading-sd-dof', 'degrees of freedom behind reading-sd'),
  reversal: pair(number('machine.reversal'), 'lost motion [x, y]: reading arriving upwards minus downwards'),
  'bed-map': object({
    scale: pair(number('machine.bed-map.scale'), 'true mm for 1 mm of the display [x, y]'),
    'skew-mrad': number('machine.bed-map.skew-mrad', 'the y axis leans counter-clockwise'),
  }),
  'bed-map-sd': object(
    {
      scale: pair(number('machine.bed-map-sd.scale'), 'sds of the scales [x, y]'),
      'skew-mrad': number('machine.bed-map-sd.skew-mrad', 'sd of the skew'),
    },
    { required: ['scale', 'skew-mrad'] },
  ),
  'beam-offset': pair(number('machine.beam-offset'), 'beam minus pointer [x, y], mm'),
  'beam-offset-sd': number('machine.beam-offset-sd', 'of the offset, per axis'),
  'beam-offset-approach': perAxis(['up', 'down', 'both'], 'from which side the dots were read'),
  'beam-offset-dots': perAxis(['up', 'down', 'figures'], 'how the dots were burnt'),
  'cut-reversal': eitherOf(
    'lost motion in the cut; left out: that of the pointer',
    { const: 'compensated' },
    number('machine.cut-reversal'),
    pair(number('machine.cut-reversal')),
  ),
  'display-step': number('machine.display-step', 'what the display counts in'),
  'pointing-sd': number('machine.pointing-sd', 'habit of the eye, an sd per axis'),
  'pointing-bias': number('machine.pointing-bias', 'habit of the eye, a bound'),
  kerf: number('machine.kerf', 'full width the tool removes'),
  'kerf-sd': number('machine.kerf-sd', 'how far the kerf varies from cut to cut'),
  'kerf-dof': number('machine.kerf-dof', 'degrees of freedom behind kerf and kerf-sd'),
  'cut-sd': number('machine.cut-sd', 'how far the same cut lands elsewhere, per axis'),
  'cut-sd-dof': number('machine.cut-sd-dof', 'degrees of freedom behind cut-sd'),
  nc: object({
    feed: number('machine.nc.feed'),
    ...Object.fromEntries(
      ['before-cut', 'after-cut', 'first-lines', 'last-lines'].map((key) => [
        key,
        eitherOf('one line for the control, or a list of lines', text(''), list(text(''))),
      ]),
    ),
    decimals: number('machine.nc.decimals'),
    arcs: { ...flag, description: 'false: arcs as short straight moves' },
  }),
};

const history = list(object({ replaced: day, ...machineKeys }));

/** A machine profile. */
export const profileSchema: Schema = {
  $schema: 'http://json-schema.org/draft-07/schema#',
  title: 'reseat machine profile',
  ...object({
    format: number('machine.format'),
    ...machineKeys,
    inspected: list(text('a finished piece that is in the figures')),
    history,
  }),
};

const roleEntry = eitherOf(
  'the id of a shape, the name of a layer, stroke:COLOUR, fill:COLOUR, "not" before one of these, or a list of them',
  text(''),
  list(text(''), { minItems: 1 }),
);

/** The job file. */
export const jobSchema: Schema = {
  $schema: 'http://json-schema.org/draft-07/schema#',
  title: 'reseat job',
  ...object(
    {
      title: text('for your eyes'),
      date: { ...day, description: 'the day the readings were taken' },
      drawing: text('path of the SVG or DXF file, from the folder of this file'),
      units: oneOf(
        ['mm', 'cm', 'm', 'in', 'ft', 'pt', 'pc', 'px', 'q', 'mil', 'um'],
        'of a drawing that states none',
      ),
      dpi: number('dpi', 'px to the inch of an SVG'),
      join: number('join', 'ends of loose lines at most so far apart are joined'),
      face: oneOf(['up', 'down'], 'down: the part lies on its face'),
      roles: object({ marks: roleEntry, openings: roleEntry, outline: roleEntry }),
      marks: {
        type: 'object',
        minProperties: 1,
        description: 'by name: [x, y] in drawing mm, or the id of a drawn shape',
        additionalProperties: eitherOf('', pair(number('marks')), text('')),
      },
      readings: eitherOf(
        'by mark: [x, y] as the display shows it, or several; or the path of a table (CSV)',
        { type: 'object', minProperties: 1, additionalProperties: readingsAt('readings', '') },
        { type: 'string' },
      ),
      touches: list(
        object(
          {
            on: text('outline, or the name of a shape'),
            at: readingsAt('touches.at', 'what the display showed'),
            radius: eitherOf('of a round rim, mm', { const: 'unknown' }, number('touches.radius')),
            start: pair(number('touches.start'), 'about where on the drawing, mm'),
            direction,
          },
          { required: ['on', 'at'] },
        ),
        { minItems: 1 },
      ),
      witness: list(
        object(
          {
            point: eitherOf(
              '[x, y] in drawing mm, or the name of a shape',
              pair(number('witness')),
              text(''),
            ),
            reading: readingsAt('witness', 'what the display showed'),
            direction,
          },
          { required: ['point', 'reading'] },
        ),
      ),
      machine: eitherOf(
        'a profile, or its keys here',
        { type: 'string' },
        object({ profile: text('path of the profile these keys override'), ...machineKeys }),
      ),
      fit: object({
        model: oneOf(models, 'what may change between drawing and bed'),
        'reading-sd': number('fit.reading-sd', 'sd of one reading per axis'),
        'reading-sd-dof': number('fit.reading-sd-dof', 'degrees of freedom behind reading-sd'),
        'mark-sd': number('fit.mark-sd', 'how truly the marks were made, per axis'),
        approach: perAxis(['up', 'down', 'same', 'either'], 'from which side the pointer came to the marks'),
        'display-step': number('fit.display-step', 'what the display counts in'),
        'pointing-sd': number('fit.pointing-sd', 'habit of the eye, an sd per axis'),
        'pointing-bias': number('fit.pointing-bias', 'habit of the eye, a bound'),
      }),
      pierced: object({
        kerf: number('pierced.kerf', 'of the cut that pierced the panel'),
        compensated: { ...flag, description: 'false: cut on the drawn line' },
      }),
      cut: object({
        kind: oneOf(
          ['opening', 'inlay', 'as-drawn'],
          'set back, the piece that fills it, or the drawn lines',
        ),
        clearance: number('cut.clearance', 'between existing and new edge, on each side'),
        kerf: number('cut.kerf', 'full width the tool removes'),
        corners: oneOf(['mitre', 'round'], 'mitre: pointed stays pointed'),
        'mitre-limit': number('cut.mitre-limit'),
        tolerance: number('cut.tolerance', 'bound on the distance to the exact parallel curve'),
        'smallest-land': number('cut.smallest-land', 'thinner lands are reported'),
        apply: oneOf(['full', 'rigid', 'shift'], 'what your cutter can apply of the placement'),
      }),
      film: object(
        {
          width: number('film.width', 'of the roll'),
          overlap: number('film.overlap', 'of two strips'),
          direction: oneOf(['x', 'y'], 'of the drawing, along which strips run'),
        },
        { required: ['width', 'overlap'] },
      ),
      material: object(
        {
          kind: oneOf(['mdf', 'plywood', 'acrylic', 'aluminium'], 'what the panel is made of'),
          humidity: pair(number('material.humidity'), 'when pierced and now'),
          temperature: pair(number('material.temperature'), 'when pierced and now'),
        },
        { required: ['kind'] },
      ),
      check: object({
        'accepted-risk': number('check.accepted-risk', 'share of such jobs that may touch'),
        'cut-sd': number('check.cut-sd', 'how far the same cut lands elsewhere, per axis'),
        'kerf-sd': number('check.kerf-sd', 'how far the kerf varies'),
        'edge-sd': number('check.edge-sd', 'how well the drawn edges are those of the piece'),
        bow: number('check.bow', 'how far the middle may be bowed, at most'),
        'size-change': number('check.size-change', 'growth or shrinkage as a share, at most'),
        'allowed-deviation': number(
          'check.allowed-deviation',
          'as-drawn alone: how far the cut may lie from the line',
        ),
      }),
      gaps: list(
        object(
          {
            opening: text('the name of an opening'),
            place: pair(number('gaps.place'), 'where along its edge, [x, y] in drawing mm'),
            mm: eitherOf(
              'the gap from the existing edge to the new one; blank: not measured',
              number('gaps.mm'),
              { type: 'null' },
            ),
          },
          { required: ['opening', 'place'] },
        ),
      ),
      'gap-sd': number('gap-sd', 'sd of one measured gap'),
      plan: object({
        marks: number('plan.marks', 'how many'),
        use: list(oneOf(['land', 'corners', 'holes', 'edges'], ''), { minItems: 1 }),
        allowed: text('a layer or shape that holds the allowed places'),
        'from-openings': number('plan.from-openings', 'least distance of a mark from openings'),
        'from-edge': number('plan.from-edge', 'least distance of a mark from the outline'),
        spacing: number('plan.spacing', 'least distance between two marks'),
        grid: number('plan.grid', 'coordinates are multiples of this'),
      }),
    },
    { required: ['drawing'] },
  ),
};

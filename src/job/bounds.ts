/**
 * The bounds of every number that is read, each with its reason: of a job, a profile, a table of
 * measurements, an option of the command line, a drawing. Readers take them from here alone;
 * README.md of this room shows them.
 *
 * The outermost ones are guards. They lie where nothing on a bed does, and far enough within what
 * double precision and the searches can do; a value at a bound is worked on like any other.
 */

/** What a number may be; the bounds themselves are allowed unless the name says otherwise. */
export interface NumberRule {
  /** `mm`, or nothing for a ratio or a count. */
  readonly unit?: string;
  readonly above?: number;
  readonly atLeast?: number;
  readonly atMost?: number;
  /** What to do about a number out of bounds, a sentence. */
  readonly next?: string;
}

export interface Bound extends NumberRule {
  /** Only whole numbers. */
  readonly whole?: true;
  readonly why: string;
}

/** No bed is a hundred metres long. */
export const largestCoordinate = 100_000;

const position = {
  unit: 'mm',
  atLeast: -largestCoordinate,
  atMost: largestCoordinate,
  why: 'no bed is a hundred metres long',
} as const;
const length = { unit: 'mm', atLeast: 0, atMost: largestCoordinate, why: position.why } as const;
const error = {
  unit: 'mm',
  atLeast: 0,
  atMost: 100,
  why: 'an error of 100 mm is none of a machine that cuts',
} as const;
const positiveError = {
  unit: 'mm',
  above: 0,
  atLeast: 1e-6,
  atMost: 100,
  why: 'below a nanometre one reading would outweigh all others without end; an error of 100 mm is none of a machine that cuts',
} as const;
const readingError = {
  ...positiveError,
  next: 'Write how far one reading strays, such as 0.08, or remove the key: it is then estimated.',
} as const;
const toolWidth = {
  unit: 'mm',
  atLeast: 0,
  atMost: 100,
  why: 'the widest cutters are about 100 mm across (common practice, no source)',
} as const;
const measured = {
  unit: 'mm',
  above: 0,
  atLeast: 0.001,
  atMost: largestCoordinate,
  why: 'no workshop measures below a micrometre; no bed is a hundred metres long',
} as const;

/** By key, column or option. A pair or a list is bounded number by number. */
export const bounds = {
  dpi: {
    atLeast: 10,
    atMost: 10_000,
    next: 'Write 96 as in CSS, 90 or 72 for files of older programs, or what the drawing was made at.',
    why: 'from px of a quarter of a centimetre to those of the finest printers',
  },
  join: { unit: 'mm', atLeast: 0, atMost: 5, why: 'lines farther apart do not nearly meet' },
  marks: position,
  readings: position,
  'touches.at': position,
  'touches.start': position,
  'touches.radius': {
    ...measured,
    next: 'Write the radius in mm, "unknown", or remove the key to take the drawn one.',
  },
  witness: position,
  'fit.reading-sd': readingError,
  'fit.reading-sd-dof': {
    atLeast: 1,
    atMost: 1e6,
    why: 'below one no limits can be stated; from a million on an sd is as good as known',
  },
  'fit.mark-sd': error,
  'fit.display-step': { unit: 'mm', atLeast: 0, atMost: 10, why: 'no display counts in whole centimetres' },
  'fit.pointing-sd': error,
  'fit.pointing-bias': error,
  'pierced.kerf': toolWidth,
  'cut.kerf': toolWidth,
  'cut.clearance': {
    unit: 'mm',
    atLeast: 0,
    atMost: 1000,
    next: 'Write the distance without a sign; "kind" says to which side of the edge it goes.',
    why: 'a set-back of a metre leaves nothing of any panel',
  },
  'cut.mitre-limit': {
    atLeast: 1,
    atMost: 1000,
    next: 'Write 4 for the usual limit, or "corners: round".',
    why: 'one cuts every corner (W3C SVG); a thousand keeps corners of a tenth of a degree pointed',
  },
  'cut.tolerance': {
    unit: 'mm',
    atLeast: 0.0001,
    atMost: 1,
    why: 'the second engine works on a grid of 1e-6 mm; beyond a millimetre an edge is no parallel curve any more',
  },
  'cut.smallest-land': { unit: 'mm', atLeast: 0, atMost: 1000, why: 'a land of a metre is never thin' },
  'check.accepted-risk': {
    atLeast: 1e-6,
    atMost: 0.5,
    next: 'Write 5 % as 0.05.',
    why: 'below one in a million it is a matter of tails of which nobody knows anything; above one half a job that fits would touch more often than not',
  },
  'check.cut-sd': error,
  'check.kerf-sd': error,
  'check.edge-sd': error,
  'check.bow': { unit: 'mm', atLeast: 0, atMost: 1000, why: 'a panel bowed by a metre lies on no bed' },
  'check.size-change': {
    atLeast: 0,
    atMost: 0.1,
    next: 'Write 0.2 mm per metre as 0.0002.',
    why: 'beyond a tenth the drawing is at another scale',
  },
  'check.allowed-deviation': {
    unit: 'mm',
    above: 0,
    atLeast: 0.0001,
    atMost: 1000,
    why: 'none at all is met by no cut; a metre allows everything',
  },
  'film.width': {
    unit: 'mm',
    above: 0,
    atLeast: 1,
    atMost: largestCoordinate,
    next: 'Write the width of the roll.',
    why: 'no roll is narrower than a millimetre; at most 100 strips are laid',
  },
  'film.overlap': { ...length, why: 'at most a quarter of the width: more is a slip of the pen' },
  'gaps.place': position,
  'gaps.mm': {
    unit: 'mm',
    atLeast: -1000,
    atMost: 1000,
    next: 'Write the gap in mm, below 0 where the new edge lies across the old one; or leave it blank.',
    why: 'a set-back of a metre leaves nothing of any panel',
  },
  'gap-sd': {
    ...positiveError,
    next: 'Write how far one measured gap strays, such as 0.03, or remove the key: it is then estimated.',
  },
  'material.humidity': { unit: '%', atLeast: 0, atMost: 100, why: 'a share of saturation' },
  'material.temperature': {
    unit: 'degrees Celsius',
    atLeast: -50,
    atMost: 100,
    why: 'air in which people work, and some beyond',
  },
  'plan.marks': {
    atLeast: 2,
    atMost: 6,
    whole: true,
    next: 'Three or four marks serve most panels.',
    why: 'two place a panel; beyond six the search would be long and the gain of a further one small',
  },
  'plan.from-openings': length,
  'plan.from-edge': length,
  'plan.spacing': length,
  'plan.grid': {
    unit: 'mm',
    atLeast: 0.05,
    atMost: 1000,
    why: 'nobody sets out hundredths; a grid of more than a metre holds no panel',
  },
  'machine.format': {
    atLeast: 1,
    whole: true,
    why: 'forms are counted from one; a later one is refused by name',
  },
  'machine.size': { unit: 'mm', above: 0, atLeast: 1, atMost: largestCoordinate, why: position.why },
  'machine.reading-sd': readingError,
  'machine.reading-sd-dof': {
    atLeast: 1,
    atMost: 1e6,
    why: 'below one no limits can be stated; from a million on an sd is as good as known',
  },
  'machine.reversal': { ...error, atLeast: -100 },
  'machine.cut-reversal': error,
  'machine.bed-map.scale': {
    atLeast: 0.01,
    atMost: 100,
    why: 'beyond these bounds it is no bed any more; they also keep the map invertible',
  },
  'machine.bed-map.skew-mrad': {
    unit: 'mrad',
    atLeast: -500,
    atMost: 500,
    why: 'axes that lean by half a radian are none; it also keeps the map invertible',
  },
  'machine.bed-map-sd.scale': {
    atLeast: 0,
    atMost: 100,
    why: 'few lengths leave it open; larger than any scale it says that nothing is known',
  },
  'machine.bed-map-sd.skew-mrad': {
    unit: 'mrad',
    atLeast: 0,
    atMost: 100_000,
    why: 'few lengths leave it open; larger than any skew it says that nothing is known',
  },
  'machine.beam-offset': position,
  'machine.beam-offset-sd': error,
  'machine.display-step': {
    unit: 'mm',
    atLeast: 0,
    atMost: 10,
    why: 'no display counts in whole centimetres',
  },
  'machine.pointing-sd': error,
  'machine.pointing-bias': error,
  'machine.kerf': toolWidth,
  'machine.kerf-sd': error,
  'machine.cut-sd': error,
  'machine.kerf-dof': {
    atLeast: 0.1,
    atMost: 1e6,
    why: 'a cut that was measured badly counts as less than one; from a million on a figure is as good as known',
  },
  'machine.cut-sd-dof': {
    atLeast: 0.1,
    atMost: 1e6,
    why: 'a cut that was measured badly counts as less than one; from a million on a figure is as good as known',
  },
  'machine.nc.feed': {
    unit: 'mm per minute',
    above: 0,
    atLeast: 0.001,
    atMost: 1e6,
    why: 'what an F word can hold with three decimals; no head travels at 1000 m per minute',
  },
  'machine.nc.decimals': {
    atLeast: 3,
    atMost: 6,
    whole: true,
    next: 'Write 3 or 4: thousandths or ten-thousandths of a mm.',
    why: 'with two an arc could not be kept within 0.002 mm of its path; with seven coordinates outgrow the digits of a control',
  },
  'table x, y': position,
  'table length': measured,
  'table sd': positiveError,
  'table count': { atLeast: 1, atMost: 1000, whole: true, why: 'nobody lays a thousand strips side by side' },
  'table drawn': length,
  'table measured, hole, piece': measured,
  '--sd': positiveError,
  '--rule': {
    unit: 'mm/m',
    atLeast: 0,
    atMost: 20,
    why: 'a rule that is out by 2 % is none',
  },
  '--size': {
    unit: 'mm',
    atLeast: 250,
    atMost: largestCoordinate,
    why: 'the sheet needs 300 x 250; no bed is a hundred metres long',
  },
  'scan --dpi': {
    atLeast: 20,
    atMost: 20_000,
    why: 'from pixels of a millimetre and more to the finest scanners',
  },
  'inspect --places': {
    atLeast: 5,
    atMost: 100,
    whole: true,
    why: 'five errors are sought; nobody measures a hundred gaps by hand',
  },
  'inspect --turned': { unit: 'degrees', atLeast: -360, atMost: 360, why: 'once round' },
  'inspect --gamma': { atLeast: 0.3, atMost: 4, why: 'scanners write between 1 and about 2.6 (from memory)' },
  'scan --smallest': { unit: 'mm', atLeast: 0, atMost: 100, why: 'an opening of 100 mm is no speck' },
} as const satisfies Readonly<Record<string, Bound>>;

export type BoundName = keyof typeof bounds;

/**
 * What may be in a file, beyond which it is refused with its place: the work of each is then a
 * matter of seconds, and its memory below a gigabyte.
 */
export const limits = {
  /** Bytes of a file, and of standard input. */
  fileBytes: {
    most: 256 * 1024 * 1024,
    why: 'larger than any drawing; a mistyped path must not fill the memory',
  },
  jobCharacters: {
    most: 500_000,
    why: 'hostile text of this length keeps the YAML library busy for about five seconds',
  },
  jobNesting: { most: 40, why: 'a job nests five deep; the YAML library recurses' },
  jobAliases: { most: 100, why: 'a job has none or a few' },
  tableCharacters: { most: 16_000_000, why: 'longer than any list of readings taken by hand' },
  measurementRows: { most: 2000, why: 'nobody measures more by hand' },
  filmStrips: { most: 100, why: 'more is a slip in the width' },
  ncLineCharacters: { most: 80, why: 'as old controls read them (common practice, no source)' },
  drawnCoordinate: { most: 1e6, why: 'no bed and no drawing reaches a kilometre' },
  drawnReach: { most: 1e5, why: 'edges of a part reach over a hundred metres at most, wherever it lies' },
  xmlNesting: { most: 512, why: 'a drawing of real life stays under a few dozen' },
  sheetCharacters: { most: 2_000_000, why: 'style sheets of drawings have some thousand' },
  selectors: { most: 20_000, why: 'style sheets of drawings have some dozen' },
  selectorTrials: { most: 20_000_000, why: 'selectors times elements; a second of work' },
  useElements: { most: 800_000, why: 'elements drawn through "use" in one drawing' },
  useSegments: { most: 1_000_000, why: 'segments they may come to' },
  blockSegments: { most: 2_000_000, why: 'segments that blocks add to one drawing' },
  blockNesting: { most: 64, why: 'blocks within blocks' },
  splineDegree: { most: 11, why: 'drawing programs stop at about 10 (common practice, no source)' },
  scanPixels: { most: 300_000_000, why: 'A3 at 1200 to the inch has 280 million' },
  splinePieces: { most: 200_000, why: 'sound splines take a few hundred' },
} as const satisfies Readonly<Record<string, { readonly most: number; readonly why: string }>>;

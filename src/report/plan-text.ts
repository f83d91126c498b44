/** The plan for a person at a terminal. */
import type { Job } from '../job/job.js';
import type { PlaceKind } from '../plan/place.js';
import type { Plan, PlannedPattern, PlannedPlace } from '../plan/plan.js';
import { titleLines } from './fit-text.js';
import { type Column, counted, fixed, printable, table, wrapped } from './layout.js';
import { warningLines } from './warnings-text.js';

/** @param written files that were written, each with what it holds; `isMarked`: the drawing is among them */
export const planText = (
  job: Job,
  plan: Plan,
  written: readonly { readonly path: string; readonly what: string }[] = [],
  isMarked = false,
): string =>
  printable([
    ...titleLines(job),
    ...placeLines(plan),
    '',
    ...gainLines(plan),
    '',
    ...wrapped(sentence(plan)),
    ...supposedLines(plan),
    '',
    ...basisLines(job, plan),
    ...warningLines(plan.warnings),
    ...(written.length === 0
      ? []
      : ['', ...written.flatMap(({ path, what }) => wrapped(`${path}: ${what}`))]),
    '',
    ...nextLines(job, plan, isMarked),
    '',
  ]);

/** What a place of each kind is, for a table and in a sentence. */
export const kindNames: Readonly<Record<PlaceKind, string>> = {
  land: 'new mark',
  given: 'mark, as allowed',
  hole: 'centre of hole',
  corner: 'tip of corner',
  rim: 'rim, three touches',
  edge: 'edge, one touch',
};

const placeColumns: readonly Column[] = [
  { title: 'name', align: 'left', room: 8 },
  { title: 'x', align: 'right' },
  { title: 'y', align: 'right' },
  { title: 'what', align: 'left' },
  { title: 'of', align: 'left', room: 16 },
  { title: 'to opening', align: 'right' },
  { title: 'to edge', align: 'right' },
];

const placeLines = ({ chosen, choices }: Plan): string[] => {
  const isMarks = chosen.places.every(isMade);
  const showsShape = chosen.places.some((place) => place.shape !== undefined);
  const columns = showsShape ? placeColumns : placeColumns.filter(({ title }) => title !== 'of');
  const decimals = Math.max(1, -Math.floor(Math.log10(choices.grid)));
  const rows = chosen.places.map((place) => [
    place.name,
    fixed(place.at.x, decimals),
    fixed(place.at.y, decimals),
    kindNames[place.kind],
    ...(showsShape ? [place.shape ?? '-'] : []),
    ...(isMade(place) ? [fixed(place.nearestOpening?.distance, 1), fixed(place.fromEdge, 1)] : ['-', '-']),
  ]);
  const what = isMarks ? `${chosen.places.length} marks` : `${chosen.places.length} places to touch`;
  return [
    ...wrapped(
      `The best ${what}, in the drawing's mm (x to the right, y up from the page's lower left corner):`,
    ),
    ...table(columns, rows),
  ];
};

const isMade = ({ kind }: PlannedPlace): boolean => kind === 'land' || kind === 'given';

const gainColumns: readonly Column[] = [
  { title: '', align: 'left' },
  { title: 'pattern', align: 'left', room: 20 },
  { title: 'readings', align: 'right' },
  { title: 'to spare', align: 'right' },
  { title: 'needs most', align: 'left', room: 16 },
  { title: 'it needs', align: 'right' },
  { title: 'whole job', align: 'right' },
];

const gainLines = (plan: Plan): string[] => {
  const row = (pattern: PlannedPattern, name: string, isChosen: boolean): string[] => [
    isChosen ? '>' : '',
    name,
    String(pattern.readings),
    pattern.redundancy < 0 ? 'too few' : String(pattern.redundancy),
    pattern.worstOpening ?? '-',
    fixed(pattern.neededClearance, 2),
    fixed(pattern.jobNeededClearance, 2),
  ];
  const rows = plan.patterns.map((pattern) => row(pattern, nameOf(pattern), pattern === plan.chosen));
  if (plan.present !== undefined) {
    rows.push(row(plan.present, `${counted(plan.present.places.length, 'mark')} as drawn`, false));
  }
  return [
    ...wrapped(`Clearance needed, mm, for an accepted risk of ${percent(plan.acceptedRisk)}:`),
    ...table(gainColumns, rows),
  ];
};

const nameOf = ({ places }: PlannedPattern): string =>
  places.every(isMade) ? `${places.length} marks` : `${places.length} places`;

const percent = (p: number): string => `${Number((100 * p).toPrecision(3))} %`;

/** What the figures mean for this job, in a sentence or two. */
const sentence = ({ chosen, clearance, patterns }: Plan): string => {
  const needed = chosen.jobNeededClearance;
  const said: string[] = [];
  if (clearance === undefined && needed !== undefined) {
    said.push(`The second cut may then have to be allowed to lie ${fixed(needed, 2)} mm beside the first.`);
  } else if (needed === undefined || clearance === undefined) {
    said.push(
      'No clearance can be told for this pattern: it leaves nothing to estimate the sd of a reading from.',
    );
  } else if (needed <= clearance) {
    said.push(
      `With a clearance of ${fixed(clearance, 2)} mm the whole job has ${fixed(clearance - needed, 2)} mm to spare.`,
    );
  } else {
    said.push(
      `The clearance of ${fixed(clearance, 2)} mm would not be enough: ${fixed(needed, 2)} mm would, or better readings.`,
    );
  }
  if (patterns.some(({ places }) => places.length === 2))
    said.push('Two marks cannot tell half a turn, nor a part that lies face down, and hide most mistakes.');
  return said.join(' ');
};

/** Without a stated sd the needed clearance rests on what the readings say of themselves. */
const supposedLines = ({ readings, patterns }: Plan): string[] => {
  if (readings.stated) return [];
  const two = patterns.find(
    ({ places, neededClearance }) => places.length === 2 && neededClearance !== undefined,
  );
  const spare =
    two === undefined
      ? ''
      : ` Two marks leave only ${counted(two.redundancy, 'coordinate')} to spare: hence ${fixed(two.neededClearance, 2)} mm.`;
  return [
    '',
    ...wrapped(
      `No reading-sd is stated. These figures suppose readings that stray by ${readings.readingSd} mm per axis (common practice, no source), which "reseat check" would have to find out from the coordinates to spare.${spare} State reading-sd, and every pattern needs less: "reseat calibrate pointer" measures it.`,
    ),
  ];
};

const basisLines = ({ machine, cut }: Job, { readings, choices, candidates }: Plan): string[] => {
  const usual = (key: string): string => (choices.stated.has(key) ? '' : ', as usual');
  const isUsual = ['fromOpenings', 'fromEdge', 'grid', 'spacing'].some((key) => usual(key) !== '');
  const sds = readings.stated
    ? `reading-sd ${readings.readingSd} mm${readings.readingSdDof === undefined ? '' : ` (${readings.readingSdDof} degrees of freedom)`}, mark-sd ${readings.markSd} mm`
    : `mark-sd ${readings.markSd} mm`;
  const onTop = [
    ...(machine.bedMapSd === undefined ? [] : ['is uncertain about the bed map']),
    ...(cut.apply === 'full' ? [] : [`"apply: ${cut.apply}" leaves out of the placement`]),
  ];
  const places = [
    choices.allowed === undefined ? undefined : `what ${choices.allowed} allows`,
    choices.use.includes('land')
      ? `land ${choices.fromOpenings} mm from openings${usual('fromOpenings')}, ${choices.fromEdge} mm from the edge${usual('fromEdge')}, on a grid of ${choices.grid} mm${usual('grid')}`
      : undefined,
    ...choices.use.filter((use) => use !== 'land').map((use) => `${use} that are there`),
  ].filter((part) => part !== undefined);
  return wrapped(
    `Reckoned with ${sds}. Chosen from ${candidates} places: ${places.join('; ')}; at least ${choices.spacing} mm apart${usual('spacing')}.${isUsual ? ' (As usual: common practice, no source; change it under "plan:".)' : ''}${onTop.length === 0 ? '' : ` What ${onTop.join(', and what ')} comes on top, for it depends on how the part will lie.`}`,
  );
};

const nextLines = (job: Job, { chosen }: Plan, isMarked: boolean): string[] => {
  const made = chosen.places.filter(isMade);
  if (made.length === 0)
    return wrapped(
      'put the panel on the bed, read or touch these places, and write the readings into the job.',
      'Next: ',
    );
  if (isMarked)
    return wrapped('pierce the panel with its marks from that drawing, and name it in the job.', 'Next: ');
  return [
    ...wrapped('write these marks into the drawing, pierce the panel with them:', 'Next: '),
    `      reseat plan ${job.path} -o FILE.${/\.dxf$/i.test(job.drawing) ? 'dxf' : 'svg'}`,
  ];
};

/** The plan for a person at a terminal. */
import { decimal } from '../../drawing/write/cut-file.js';
import type { Job } from '../../job/job.js';
import type { PlaceKind } from '../../plan/places/place.js';
import type { Plan, PlannedPattern, PlannedPlace } from '../../plan/plan.js';
import { titleLines } from './fit-text.js';
import { type Column, counted, fixed, printable, shellWord, table, wrapped } from './layout.js';
import { warningLines } from './warnings-text.js';
import { yamlName } from './yaml-name.js';

/**
 * @param written files that were written, each with what it holds; `marked`: the format of the
 * drawing among them
 */
export const planText = (
  job: Job,
  plan: Plan,
  written: readonly { readonly path: string; readonly what: string }[] = [],
  marked?: 'svg' | 'dxf',
): string =>
  printable([
    ...titleLines(job),
    ...placeLines(job, plan),
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
    ...nextLines(job, plan, marked),
    '',
  ]);

/** What a place of each kind is, for a table and in a sentence. */
export const kindNames: Readonly<Record<PlaceKind, string>> = {
  land: 'new mark',
  given: 'mark, as allowed',
  drawn: 'mark, as drawn',
  hole: 'centre of hole',
  corner: 'tip of corner',
  rim: 'rim, three touches',
  edge: 'edge, one touch',
};

const placeColumns: readonly Column[] = [
  { title: 'name', align: 'left', room: 12 },
  { title: 'x', align: 'right' },
  { title: 'y', align: 'right' },
  { title: 'what', align: 'left' },
  { title: 'of', align: 'left', room: 16 },
  { title: 'to opening', align: 'right' },
  { title: 'to edge', align: 'right' },
];

/** Where the coordinates of a drawing count from. */
export const zeroOf = ({ drawing }: Job): string =>
  isDxf(drawing) ? "the drawing's zero point" : "the lower left corner of the drawing's page";

const isDxf = (path: string): boolean => /\.dxf$/i.test(path);

const placeLines = (job: Job, { chosen, present, panel, choices }: Plan): string[] => {
  const isMarks = chosen.places.every(isMark);
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
  const which = isMarks
    ? `The best ${chosen.places.length} marks`
    : `The best ${chosen.places.length} places to touch`;
  const what = chosen === present ? `The ${chosen.places.length} marks that are drawn serve best` : which;
  const begins =
    panel === undefined
      ? ''
      : `; there the panel begins at (${decimal(panel.minX, 2)}, ${decimal(panel.minY, 2)})`;
  return [...wrapped(`${what}, in mm from ${zeroOf(job)}, x right, y up${begins}:`), ...table(columns, rows)];
};

const isMark = (place: PlannedPlace): boolean => isMade(place) || place.kind === 'drawn';

/** A mark that is to be made. */
const isMade = ({ kind }: PlannedPlace): boolean => kind === 'land' || kind === 'given';

const gainColumns: readonly Column[] = [
  { title: '', align: 'left' },
  { title: 'pattern', align: 'left', room: 20 },
  { title: 'readings', align: 'right' },
  { title: 'redundancy', align: 'right' },
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
    rows.push(
      row(
        plan.present,
        `${counted(plan.present.places.length, 'mark')} as drawn`,
        plan.present === plan.chosen,
      ),
    );
  }
  return [
    ...wrapped(
      `Clearance needed, mm, for an accepted risk of ${percent(plan.acceptedRisk)}, for the best pattern of each number. The pattern marked > is the one listed above; the others have places of their own:`,
    ),
    ...table(gainColumns, rows),
  ];
};

const nameOf = ({ places }: PlannedPattern): string =>
  places.every(isMark) ? `${places.length} marks` : `${places.length} places`;

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
      : ` Two marks have a redundancy of only ${two.redundancy}: hence ${fixed(two.neededClearance, 2)} mm.`;
  return [
    '',
    ...wrapped(
      `No reading-sd is stated. These figures suppose readings that stray by ${readings.readingSd} mm per axis (common practice, no source), which "reseat check" would have to find out from the redundancy.${spare} State reading-sd, and every pattern needs less: "reseat calibrate pointer" measures it.`,
    ),
  ];
};

/** The keys under `plan` that have usual values. */
const keyNames = { fromOpenings: 'from-openings', fromEdge: 'from-edge', grid: 'grid', spacing: 'spacing' };

const hasLand = ({ choices }: Plan): boolean => choices.use.includes('land');

const basisLines = ({ machine, cut }: Job, plan: Plan): string[] => {
  const { readings, choices, candidates } = plan;
  const usual = Object.entries(keyNames).flatMap(([key, word]) =>
    choices.stated.has(key) || (!hasLand(plan) && key !== 'spacing') ? [] : [word],
  );
  const sds = readings.stated
    ? `reading-sd ${readings.readingSd} mm${readings.readingSdDof === undefined ? '' : ` (${readings.readingSdDof} degrees of freedom)`}, mark-sd ${readings.markSd} mm`
    : `mark-sd ${readings.markSd} mm`;
  const onTop = [
    ...(machine.bedMapSd === undefined ? [] : ['is uncertain about the bed map']),
    ...(cut.apply === 'full' ? [] : [`"apply: ${cut.apply}" leaves out of the placement`]),
  ];
  const places = [
    choices.allowed === undefined ? undefined : `what ${choices.allowed} allows`,
    hasLand(plan)
      ? `land ${choices.fromOpenings} mm from openings, ${choices.fromEdge} mm from the edge, on a grid of ${choices.grid} mm`
      : undefined,
    ...choices.use.filter((use) => use !== 'land').map((use) => `${use} that are there`),
  ].filter((part) => part !== undefined);
  return wrapped(
    `Reckoned with ${sds}. Chosen from ${candidates} places: ${places.join('; ')}; at least ${choices.spacing} mm apart${plan.present === undefined ? '' : ', and as far from the drawn marks'}.${usual.length === 0 ? '' : ` As usual (common practice, no source): ${usual.join(', ')}, to be changed under "plan:".`}${onTop.length === 0 ? '' : ` What ${onTop.join(', and what ')} comes on top, for it depends on how the part will lie.`}`,
  );
};

const nextLines = (job: Job, { chosen }: Plan, marked: 'svg' | 'dxf' | undefined): string[] => {
  const { places } = chosen;
  const made = places.filter(isMade);
  const isNamed = marked !== 'dxf' && places.every(isMark);
  if (made.length > 0 && marked === undefined)
    return [
      ...wrapped('write these marks into the drawing, pierce the panel with them:', 'Next: '),
      `      reseat plan ${shellWord(job.path)} -o FILE.${isDxf(job.drawing) ? 'dxf' : 'svg'}`,
      '',
      ...wrapped('The job then says, with what the display shows for each x, y:'),
      ...jobLines(places),
    ];
  const first =
    made.length > 0
      ? 'pierce the panel with its marks from that drawing, and name it in the job.'
      : 'put the panel on the bed, read or touch these places, and write the readings into the job.';
  if (isNamed) return wrapped(first, 'Next: ');
  return [
    ...wrapped(`${first} Put these lines into it too, with what the display shows for each x, y:`, 'Next: '),
    ...jobLines(places),
  ];
};

/** The places as a job names them: marks by their coordinates, edges and rims by their shapes. */
const jobLines = (places: readonly PlannedPlace[]): string[] => {
  const isTouched = ({ kind }: PlannedPlace): boolean => kind === 'edge' || kind === 'rim';
  const pairOf = ({ at }: PlannedPlace): string => `[${decimal(at.x, 4)}, ${decimal(at.y, 4)}]`;
  const marks = places.filter((place) => !isTouched(place));
  const touches = places.filter(isTouched);
  return [
    ...(marks.length === 0
      ? []
      : [
          'marks:',
          ...marks.map((place) => `  ${yamlName(place.name)}: ${pairOf(place)}`),
          'readings:',
          ...marks.map(({ name }) => `  ${yamlName(name)}: [x, y]`),
        ]),
    ...(touches.length === 0
      ? []
      : [
          'touches:',
          ...touches.flatMap((place) => {
            const on = `on: ${yamlName(place.shape ?? place.name)}`;
            return place.kind === 'edge'
              ? [`  - {${on}, start: ${pairOf(place)}, at: [x, y]}`]
              : Array<string>(place.readings).fill(`  - {${on}, at: [x, y]}`);
          }),
        ]),
  ];
};

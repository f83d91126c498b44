/** Which marks there are and where they lie in the design frame. */
import { distance, type Point } from '../geometry/point.js';
import { isUnplaced, type Job, type MarkSource, roleWords, whereInJob } from '../job/job.js';
import { InputError } from '../job/messages.js';
import { nearestWord } from '../job/nearest.js';
import { quoted } from '../job/quoted.js';

/** What the drawing knows of marks; design frame, mm. */
export interface DrawnMarks {
  /** The centre of each shape in the marks layer, by its id. */
  readonly marks: ReadonlyMap<string, Point>;
  /** The centre of any drawn shape; undefined when no shape has that id. */
  readonly shapeCentre: (id: string) => Point | undefined;
  /** The ids to choose from when one is mistyped. */
  readonly shapeIds?: Iterable<string>;
}

/** Nearer than this, mm, two marks are one mark with two names. */
const samePlace = 0.01;

/**
 * The marks of a job by name, design frame, mm, before `face`: those the job lists, else those
 * drawn. Marks without a reading stay in (see `unreadMarks`).
 * @throws InputError when there is no mark, when a shape or the mark of a reading is unknown, and
 * when two marks that are typed or read lie at the same place.
 */
export const resolveMarks = (job: Job, drawn: DrawnMarks): Map<string, Point> => {
  const marks = job.marks ? listedMarks(job, job.marks, drawn) : new Map(drawn.marks);
  if (marks.size === 0 && (job.readings.length > 0 || (job.touches === undefined && !isUnplaced(job)))) {
    throw new InputError({
      found: `no mark: nothing in ${job.drawing} ${marksWanted(job)}`,
      expected: 'marks in the drawing or in the job',
      where: whereInJob(job, 'drawing'),
      next: 'Type their design positions under "marks:", or name their layer under "roles:" as "marks".',
    });
  }
  for (const { mark } of job.readings) {
    if (!marks.has(mark)) throw unknownMark(job, mark, [...marks.keys()], drawn);
  }
  const read = new Set(job.readings.map(({ mark }) => mark));
  refuseSamePlace(job, job.marks ? [...marks] : [...marks].filter(([name]) => read.has(name)));
  return marks;
};

const marksWanted = ({ roles }: Job): string => {
  const [first, ...more] = roles.marks;
  const isName = more.length === 0 && !/^(not\s|stroke\s*:)/i.test(first!.text);
  return isName
    ? `lies in the layer ${quoted(first!.text)}`
    : `is selected by marks: ${quoted(roleWords(roles.marks))}`;
};

/** The names of marks that nobody read; they take no part in the fit. */
export const unreadMarks = (job: Pick<Job, 'readings'>, marks: ReadonlyMap<string, Point>): string[] => {
  const read = new Set(job.readings.map(({ mark }) => mark));
  return [...marks.keys()].filter((name) => !read.has(name));
};

const listedMarks = (
  job: Job,
  listed: ReadonlyMap<string, MarkSource>,
  drawn: DrawnMarks,
): Map<string, Point> => {
  const marks = new Map<string, Point>();
  for (const [name, source] of listed) {
    if ('at' in source) {
      marks.set(name, source.at);
      continue;
    }
    const centre = drawn.shapeCentre(source.shape);
    if (!centre) {
      const nearest = nearestWord(source.shape, drawn.shapeIds ?? drawn.marks.keys());
      throw new InputError({
        found: `mark ${quoted(name)} at the shape ${quoted(source.shape)}, which is not in ${job.drawing}`,
        expected: 'the id of a drawn shape, or a design position [x, y]',
        where: whereInJob(job, `marks.${name}`),
        next:
          nearest === undefined ? 'Type the design position instead.' : `Did you mean ${quoted(nearest)}?`,
      });
    }
    marks.set(name, centre);
  }
  return marks;
};

const unknownMark = (job: Job, mark: string, known: readonly string[], drawn: DrawnMarks): InputError => {
  if (job.marks !== undefined && drawn.marks.has(mark)) {
    return new InputError({
      found: `a reading of the mark ${quoted(mark)}, which is drawn but not listed under "marks:"`,
      expected: 'every mark that is read in that list: where there is one, drawn marks count only through it',
      where: whereInJob(job, `readings.${mark}`),
      next: `Add ${quoted(`${mark}: ${mark}`)} to "marks:".`,
    });
  }
  const nearest = nearestWord(mark, known);
  if (nearest === undefined && drawn.shapeCentre(mark) !== undefined) {
    const listed = [
      ...(job.marks?.keys() ??
        job.readings.map((reading) => reading.mark).filter((name) => known.includes(name))),
    ];
    const all = [...listed, mark].map((name) => `${quoted(name)}: ${quoted(name)}`).join(', ');
    return new InputError({
      found: `a reading of ${quoted(mark)}, which is a drawn shape and no mark`,
      expected: `one of the marks ${shortList(known)}`,
      where: whereInJob(job, `readings.${mark}`),
      next:
        job.marks === undefined
          ? `Write "marks: {${all.replaceAll('"', '')}}" into the job: that takes the centre of the shape.`
          : `Add ${quoted(`${mark}: ${mark}`)} to "marks:": that takes the centre of the shape.`,
    });
  }
  return new InputError({
    found: `a reading of the mark ${quoted(mark)}, which is not known`,
    expected: `one of the marks ${shortList(known)}`,
    where: whereInJob(job, `readings.${mark}`),
    next:
      nearest === undefined
        ? `Correct the name, or ${job.marks ? 'add the mark under "marks:"' : 'draw the mark in the marks layer'}.`
        : `Did you mean ${quoted(nearest)}?`,
  });
};

const shortList = (names: readonly string[]): string =>
  names.length <= 8
    ? names.map(quoted).join(', ')
    : `${names.slice(0, 8).map(quoted).join(', ')} and ${names.length - 8} more`;

const refuseSamePlace = (job: Job, marks: readonly (readonly [string, Point])[]): void => {
  const byX = [...marks].sort((a, b) => a[1].x - b[1].x);
  for (const [index, one] of byX.entries()) {
    for (let next = index + 1; next < byX.length; next += 1) {
      const other = byX[next]!;
      if (other[1].x - one[1].x >= samePlace) break;
      if (distance(one[1], other[1]) >= samePlace) continue;
      const [[first, { x, y }], [second]] = inFileOrder(marks, one, other);
      throw new InputError({
        found: `the marks ${quoted(first)} and ${quoted(second)} at the same place of the design, (${x}, ${y})`,
        expected: `marks at least ${samePlace} mm apart`,
        where: whereInJob(job, job.marks ? `marks.${second}` : `readings.${second}`),
        next: 'Correct the position, or give both readings to one of them as repeated readings.',
      });
    }
  }
};

const inFileOrder = <T>(all: readonly T[], one: T, other: T): [T, T] =>
  all.indexOf(one) < all.indexOf(other) ? [one, other] : [other, one];

/** `reseat plan JOB... [-o FILE] [--picture FILE]` */
import {
  besideJob,
  drawingFormatOf,
  InputError,
  type Job,
  layerForMarks,
  loadPlan,
  markedDrawing,
  markRadius,
  type Plan,
  planJob,
  planJson,
  planPicture,
  planText,
} from '../../internal.js';
import { readRequired } from '../disk.js';
import { type Io, jsonLine } from '../io.js';
import { pictureBytes, pictureFormatOf } from '../picture-file.js';
import { startProgress } from '../progress.js';
import { refuseSamePlace, saveAll, type Target, targetFor } from '../save.js';
import { eachLoaded, statusOf } from './jobs.js';

export interface PlanOptions {
  /** The drawing with the marks in it. */
  readonly output: string | undefined;
  readonly picture: string | undefined;
  readonly force: boolean;
  readonly json: boolean;
}

interface Finished {
  readonly report: string;
  readonly drawing?: { readonly target: Target; readonly content: string | Uint8Array };
  readonly picture?: { readonly target: Target; readonly svg: string };
}

export const plan = async (jobs: readonly string[], options: PlanOptions, io: Io): Promise<number> => {
  refuseSeveral(jobs, options);
  const { output, picture, force } = options;
  const format = output === undefined ? undefined : drawingFormatOf(output);
  const pictureFormat = picture === undefined ? undefined : pictureFormatOf(picture);
  const progress = startProgress(io.stderr, options.json);
  const outcomes = await eachLoaded<Finished, ReturnType<typeof loadPlan>>(
    io,
    jobs,
    progress,
    'planning',
    loadPlan,
    ({ path, loaded, inputs }) => {
      const { job, drawing, roles } = loaded;
      const targetOf = (file: string, what: string) => targetFor(io, file, { force, inputs, what });
      const target = output === undefined ? undefined : targetOf(output, 'a drawing');
      const pictureTarget = picture === undefined ? undefined : targetOf(picture, 'a picture');
      if (target !== undefined && pictureTarget !== undefined) refuseSamePlace([target, pictureTarget]);
      const done = planJob(loaded);
      const written: { path: string; what: string }[] = [];
      let marked: Finished['drawing'];
      if (target !== undefined && format !== undefined) {
        const marks = marksOf(done, path);
        const bytes = readRequired(io, besideJob(path, job.drawing), 'the drawing');
        const layer = layerForMarks(job.roles);
        const names = namesIn(job);
        const { content, anew } = markedDrawing({ drawing, bytes, marks, roles, names }, format);
        marked = { target, content };
        const letters = marks.map(({ name }) => name).join(', ');
        written.push({
          path: target.path,
          what: `the drawing with ${letters} in its layer ${layer}, each a circle ${2 * markRadius} mm across${anew ? '; written anew' : ''}`,
        });
      }
      if (pictureTarget !== undefined)
        written.push({ path: pictureTarget.path, what: 'the error to be expected over the panel' });
      const report = options.json
        ? jsonLine(planJson(job, done))
        : planText(job, done, written, marked && format);
      return {
        result: {
          report,
          ...(marked === undefined ? {} : { drawing: marked }),
          ...(pictureTarget === undefined
            ? {}
            : { picture: { target: pictureTarget, svg: planPicture({ job, roles, plan: done }) } }),
        },
      };
    },
  );
  const results = outcomes.flatMap((o) => ('result' in o ? [o.result] : []));
  const files: { target: Target; text: string | Uint8Array }[] = [];
  for (const result of results) {
    if (result.drawing !== undefined)
      files.push({ target: result.drawing.target, text: result.drawing.content });
    if (result.picture !== undefined && pictureFormat !== undefined) {
      const { target, svg } = result.picture;
      files.push({ target, text: await pictureBytes(svg, pictureFormat) });
    }
  }
  await progress.end();
  saveAll(files);
  io.stdout.write(results.map((r) => r.report).join(options.json ? '' : '\n'));
  return statusOf(outcomes);
};

/** The names of shapes that a job refers to beside its roles. */
const namesIn = ({ marks, readings, touches = [], witness = [] }: Job): string[] => [
  ...[...(marks?.values() ?? [])].flatMap((source) => ('shape' in source ? [source.shape] : [])),
  ...(marks === undefined ? readings.map(({ mark }) => mark) : []),
  ...touches.map(({ on }) => on),
  ...witness.flatMap(({ point }) => ('name' in point ? [point.name] : [])),
];

/** New marks only: what is there anyway needs no mark. */
const marksOf = ({ chosen }: Plan, job: string) => {
  const marks = chosen.places.filter(({ kind }) => kind === 'land' || kind === 'given');
  if (marks.length > 0) return marks;
  throw new InputError({
    found: 'a plan without new marks, for it uses what is there anyway',
    expected: 'marks to write into the drawing',
    where: { file: job },
    next: chosen.places.some(({ kind }) => kind === 'drawn')
      ? 'Leave out -o: the marks that are drawn serve.'
      : 'Leave out -o, or add land to "use" in the plan.',
  });
};

const refuseSeveral = (jobs: readonly string[], { output, picture }: PlanOptions): void => {
  if (jobs.length > 1 && (output !== undefined || picture !== undefined)) {
    throw new InputError({
      found: `${output === undefined ? '--picture' : '-o'} with ${jobs.length} jobs`,
      expected: 'one job where a file is written',
      next: 'Call once for each job.',
    });
  }
};

/** The further sheets: marks to add before piercing, and what measurements say of a machine. */
import {
  beamForm,
  bedForm,
  calibrate,
  calibrationText,
  cautions,
  drawingFormatOf,
  driftOf,
  driftText,
  type Files,
  InputError,
  type Job,
  kerfForm,
  loadJob,
  loadPlan,
  type Machine,
  markedDrawing,
  type Plan,
  planJob,
  planJson,
  planPicture,
  pointerForm,
  readProfileText,
  readRule,
  sheetForm,
  sheetOnBed,
  sheetSvg,
} from '../../internal.js';
import type { Answer, FurtherQuestion } from './answers.js';

export const answerFurther = (
  question: FurtherQuestion,
  reader: Files,
  say: (answer: Answer) => void,
): void => {
  switch (question.kind) {
    case 'plan': {
      const loaded = loadPlan(question, reader);
      const plan = planJob(loaded);
      const { job, roles } = loaded;
      say({ stage: 'planned', plan: planJson(job, plan), picture: planPicture({ job, roles, plan }) });
      return;
    }
    case 'marked': {
      const loaded = loadPlan(question, reader);
      const { job, drawing, roles } = loaded;
      const marks = newMarks(planJob(loaded), job);
      const format = drawingFormatOf(question.name);
      const bytes = reader.read(job.drawing)!;
      const { content } = markedDrawing({ drawing, bytes, marks, roles, names: namesIn(job) }, format);
      say({ stage: 'file', name: question.name, content });
      return;
    }
    case 'forms': {
      const machine: Pick<Machine, 'axes' | 'name' | 'size'> =
        question.profile === undefined
          ? { axes: 'y-up' }
          : readProfileText(question.profile.path, question.profile.text);
      const sheet = sheetOnBed(machine, question.size);
      const { size } = sheet;
      say({
        stage: 'forms',
        size: [size[0], size[1]],
        sheet: sheetSvg(sheet, machine),
        form: sheetForm(sheet, machine, 'sheet.svg', cautions),
        tables: {
          pointer: pointerForm(),
          bed: bedForm(sheet, machine.axes),
          kerf: kerfForm(sheet),
          beam: beamForm(sheet, machine.axes),
        },
      });
      return;
    }
    case 'calibrate': {
      const { part, table, profile, date, sd, rule, force } = question;
      const done = calibrate(
        part,
        { path: `${part}.csv`, text: table },
        {
          profile: { path: profile.path, ...(profile.text === undefined ? {} : { text: profile.text }) },
          date,
          ...(sd === undefined ? {} : { sd }),
          ...(rule === undefined ? {} : { rule: readRule(rule) }),
          force,
        },
      );
      if (!done.ok) {
        say({
          stage: 'calibrated',
          text: `${done.failure.reason} ${done.failure.cure}`,
          withheld: true,
          updated: undefined,
        });
        return;
      }
      const updated = done.updated === undefined ? undefined : done.updated.text;
      say({ stage: 'calibrated', text: calibrationText(done), withheld: done.withheld, updated });
      return;
    }
    case 'drift': {
      const jobs = question.jobs.map((one) => {
        const { job, observations } = loadJob(one, reader);
        return { job, observations };
      });
      say({ stage: 'drifted', text: driftText(driftOf(jobs, question.date)) });
    }
  }
};

/** New marks only: what is there anyway needs no mark. */
const newMarks = ({ chosen }: Plan, { path }: Job): Plan['chosen']['places'] => {
  const marks = chosen.places.filter(({ kind }) => kind === 'land' || kind === 'given');
  if (marks.length > 0) return marks;
  throw new InputError({
    found: 'a plan without new marks, for it uses what is there anyway',
    expected: 'marks to write into the drawing',
    where: { file: path },
    next: 'The marks that are drawn serve: pierce the drawing as it is.',
  });
};

/** The names of shapes that a job refers to beside its roles. */
const namesIn = ({ marks, readings, touches = [], witness = [] }: Job): string[] => [
  ...[...(marks?.values() ?? [])].flatMap((source) => ('shape' in source ? [source.shape] : [])),
  ...(marks === undefined ? readings.map(({ mark }) => mark) : []),
  ...touches.map(({ on }) => on),
  ...witness.flatMap(({ point }) => ('name' in point ? [point.name] : [])),
];

/** `reseat inspect JOB [SCAN] ... [--places N] [--dpi N] [--turned DEGREES] [--gamma G]` */
import { resolve } from 'node:path';
import {
  allWarnings,
  besideJob,
  bounds,
  type DecodedPicture,
  decodePicture,
  decodeText,
  expectedGap,
  InputError,
  type InspectableFit,
  type InspectedPiece,
  type Inspection,
  type InspectReport,
  inspectable,
  inspectByHand,
  inspectionPictureSvg,
  inspectJson,
  inspectScan,
  inspectText,
  type Job,
  judgePieces,
  type LearningPiece,
  learnInto,
  pieceSays,
  piecesJson,
  piecesText,
  placesOf,
  statedRisk,
  toDrawing,
} from '../../internal.js';
import { readRequired } from '../disk.js';
import { type Io, jsonLine, status } from '../io.js';
import { pictureBytes, pictureFormatOf } from '../picture-file.js';
import { alone } from '../profile-lock.js';
import { startProgress } from '../progress.js';
import { saveAll, type Target, targetFor } from '../save.js';
import { dateOf } from './calibrate.js';
import { eachJob, type Outcome, statusOf } from './jobs.js';
import { densityOf } from './scan.js';

export interface InspectOptions {
  /** As typed, each. */
  readonly places: string | undefined;
  readonly dpi: string | undefined;
  readonly turned: string | undefined;
  readonly gamma: string | undefined;
  readonly picture: string | undefined;
  readonly learn: string | undefined;
  readonly date: string | undefined;
  readonly force: boolean;
  readonly json: boolean;
}

/** A job with the scan of its piece, where there is one. */
interface Piece {
  readonly job: string;
  readonly scan?: string;
}

interface Given {
  readonly places?: number;
  readonly dpi?: readonly [number, number];
  /** Radians. */
  readonly turned?: number;
  readonly gamma?: number;
}

export const inspect = async (paths: readonly string[], options: InspectOptions, io: Io): Promise<number> => {
  const { json } = options;
  const pieces = piecesOf(paths);
  const given = givenOf(options);
  const format = options.picture === undefined ? undefined : pictureFormatOf(options.picture);
  if (options.picture !== undefined && pieces.length > 1) {
    throw new InputError({
      found: `--picture with ${pieces.length} jobs`,
      expected: 'one job where a picture is drawn',
      next: 'Call once for each job.',
    });
  }
  const target =
    options.picture === undefined
      ? undefined
      : targetFor(io, options.picture, { force: options.force, inputs: paths, what: 'a picture' });
  const learnTarget = options.learn === undefined ? undefined : profileTarget(io, options.learn, paths);
  const isOther = (job: Job): boolean =>
    learnTarget !== undefined &&
    job.profile !== undefined &&
    resolve(io.cwd, besideJob(job.path, job.profile)) !== learnTarget.absolute;
  const progress = startProgress(io.stderr, json);
  const outcomes: Outcome<{ readonly text: string; readonly svg?: string; readonly piece?: Finished }>[] = [];
  try {
    for (const { job: path, scan } of pieces) {
      const decoded =
        scan === undefined
          ? undefined
          : await decodePicture(readRequired(io, scan, 'a scan'), scan, given.dpi);
      const [outcome] = await eachJob(io, [path], progress, 'inspecting', ({ loaded }) => {
        const job = inspectable(loaded);
        if (!job.ok) return job;
        const report = reportOf(
          job,
          given,
          scan === undefined || decoded === undefined ? undefined : { path: scan, decoded },
        );
        const { inspection } = report;
        const svg =
          target === undefined || inspection === undefined
            ? undefined
            : inspectionPictureSvg({
                inspection,
                walk: job.walk,
                title: job.loaded.job.title ?? path,
                expected: report.expected,
                width: pictureWidth,
                ...(report.scan === undefined ? {} : { seen: report.scan.gaps.seen }),
              });
        if (target !== undefined && svg === undefined) throw nothingToDraw(path);
        const text = json ? jsonLine(inspectJson(report)) : inspectText(report);
        const piece =
          inspection === undefined
            ? undefined
            : finished(job, report, inspection, pieces.length > 1, isOther);
        return {
          result: { text, ...(svg === undefined ? {} : { svg }), ...(piece === undefined ? {} : { piece }) },
        };
      });
      outcomes.push(outcome!);
    }
  } finally {
    await progress.end();
  }
  const results = outcomes.flatMap((o) => ('result' in o ? [o.result] : []));
  const failed = statusOf(outcomes);
  const finishedPieces = results.flatMap(({ piece }) => (piece === undefined ? [] : [piece]));
  const learning = options.learn;
  if (learning !== undefined && failed === status.done && finishedPieces.length === 0)
    throw nothingToLearn(learning);
  const svg = results[0]?.svg;
  const drawn =
    target !== undefined && svg !== undefined && format !== undefined
      ? await pictureBytes(svg, format)
      : undefined;
  const learned =
    learning === undefined || failed !== status.done
      ? undefined
      : await alone(profileTarget(io, learning, paths), () =>
          learnFrom(io, learning, paths, finishedPieces, options),
        );
  if (target !== undefined && drawn !== undefined) saveAll([{ target, text: drawn }]);
  const texts = results.map(({ text }) => text);
  if (finishedPieces.length > 1 || learned !== undefined) {
    const report = {
      pieces: judgePieces(finishedPieces.map(({ judged }) => judged)),
      ...(learned === undefined ? {} : { learned }),
    };
    texts.push(json ? jsonLine(piecesJson(report)) : piecesText(report));
  }
  io.stdout.write(texts.join(json ? '' : '\n'));
  return failed === status.done && learned?.from.withheld === true ? status.wrongInput : failed;
};

/** A piece that was measured: what it says beside others, and what a profile may learn from it. */
interface Finished {
  readonly judged: InspectedPiece;
  readonly learning?: LearningPiece;
}

const nameOf = (path: string): string => path.replace(/^.*[/\\]/, '');

const finished = (
  job: InspectableFit,
  { scan }: InspectReport,
  inspection: Inspection,
  isCompared: boolean,
  isOther: (job: Job) => boolean,
): Finished => {
  const { path, date } = job.loaded.job;
  const risk = isCompared ? statedRisk(job) : undefined;
  const { agreement } = inspection;
  const says = pieceSays(job, inspection, scan?.gaps);
  const unsure = inspection.warnings.find(({ code }) => code === 'suspect-gap' || code === 'gaps-disagree');
  const doubt = isOther(job.loaded.job)
    ? `its job names another profile, ${job.loaded.job.profile}`
    : unsure === undefined
      ? undefined
      : `its gaps are in doubt (${unsure.code})`;
  return {
    judged: {
      job: path,
      ...(risk === undefined ? {} : { risk }),
      leastGap: Math.min(...inspection.least.map(({ gap, seen }) => Math.min(gap, seen?.gap ?? gap))),
      ...(agreement === undefined ? {} : { agreement }),
    },
    ...(says === undefined
      ? {}
      : {
          learning: {
            name: [
              nameOf(path),
              ...(date === undefined ? [] : [date]),
              ...(scan === undefined ? [] : [nameOf(scan.path)]),
            ].join(' '),
            ...(date === undefined ? {} : { date }),
            says,
            ...(doubt === undefined ? {} : { doubt }),
          },
        }),
  };
};

const profileTarget = (io: Io, profile: string, inputs: readonly string[]): Target =>
  targetFor(io, profile, { force: true, inputs, what: 'a machine profile' });

/** Reads the profile and writes it again; no other call works on it meanwhile. */
const learnFrom = (
  io: Io,
  profile: string,
  inputs: readonly string[],
  pieces: readonly Finished[],
  options: InspectOptions,
) => {
  const date = dateOf(options.date, io);
  const text = decodeText(readRequired(io, profile, 'a machine profile'), profile);
  const learning = pieces.flatMap((piece) => (piece.learning === undefined ? [] : [piece.learning]));
  if (learning.length === 0) throw nothingToLearn(profile);
  const from = learnInto({ path: profile, text }, learning, date, options.force);
  if (from.text !== undefined) saveAll([{ target: profileTarget(io, profile, inputs), text: from.text }]);
  return { profile, date, from };
};

const nothingToLearn = (profile: string): InputError =>
  new InputError({
    found: `--learn ${profile}, and no piece whose gaps claim an uncertainty beside a placement that does`,
    expected: 'gaps in the job, more than unknowns or with a "gap-sd", or a scan behind it',
    next: 'Measure more gaps, or state "gap-sd" and "reading-sd".',
  });

/** Units. */
const pictureWidth = 1400;

const nothingToDraw = (path: string): InputError =>
  new InputError({
    found: '--picture of a job without gaps',
    expected: 'gaps in the job, or a scan behind it',
    where: { file: path },
    next: 'Measure gaps first: without --picture the places are listed.',
  });

const reportOf = (
  job: InspectableFit,
  { places, turned, gamma }: Given,
  scan: { readonly path: string; readonly decoded: DecodedPicture } | undefined,
): InspectReport => {
  const common = { job: job.loaded.job, toDrawing: toDrawing(job), expected: expectedGap(job) };
  if (scan !== undefined) {
    const { path, decoded } = scan;
    const { inspection, scan: gaps } = inspectScan(job, {
      picture: decoded.picture,
      pixel: decoded.pixel,
      file: path,
      ...(turned === undefined ? {} : { turned }),
      ...(gamma === undefined ? {} : { gamma }),
    });
    return { ...common, scan: { path, gaps }, inspection, warnings: allWarnings(job, inspection) };
  }
  const inspection = inspectByHand(job);
  return {
    ...common,
    ...(inspection === undefined ? { places: placesOf(job, places) } : { inspection }),
    warnings: allWarnings(job, inspection),
  };
};

/** Each picture belongs to the job before it. */
const piecesOf = (paths: readonly string[]): Piece[] => {
  const pieces: Piece[] = [];
  for (const path of paths) {
    if (!/\.(png|tiff?|jpe?g|webp|bmp)$/i.test(path)) {
      pieces.push({ job: path });
      continue;
    }
    const last = pieces.at(-1);
    if (last === undefined || last.scan !== undefined) {
      throw new InputError({
        found: `the scan ${path} ${last === undefined ? 'before its job' : `behind another scan, ${last.scan}`}`,
        expected: 'each scan behind the job of its piece',
        next: 'Write reseat inspect JOB SCAN, and several pieces one behind the other: JOB SCAN JOB SCAN.',
      });
    }
    pieces[pieces.length - 1] = { job: last.job, scan: path };
  }
  return pieces;
};

const givenOf = ({ places, dpi, turned, gamma }: InspectOptions): Given => ({
  ...(places === undefined
    ? {}
    : {
        places: numberOf('inspect --places', places, 'five errors are sought, and further gaps check them'),
      }),
  ...(dpi === undefined ? {} : { dpi: densityOf(dpi) }),
  ...(turned === undefined
    ? {}
    : {
        turned:
          (numberOf('inspect --turned', turned, 'counter-clockwise, from how it lay on the bed') * Math.PI) /
          180,
      }),
  ...(gamma === undefined
    ? {}
    : { gamma: numberOf('inspect --gamma', gamma, '1 where values are light, 2.2 for sRGB') }),
});

const numberOf = (
  name: 'inspect --places' | 'inspect --turned' | 'inspect --gamma',
  typed: string,
  why: string,
): number => {
  const { atLeast, atMost } = bounds[name];
  const isWhole = name === 'inspect --places';
  const value = (isWhole ? /^\d+$/ : /^-?\d*\.?\d+$/).test(typed) ? Number(typed) : Number.NaN;
  if (value >= atLeast && value <= atMost) return value;
  const option = name.replace('inspect ', '');
  throw new InputError({
    found: `${option} ${typed}`,
    expected: `a ${isWhole ? 'whole ' : ''}number from ${atLeast} to ${atMost}`,
    next: `Write for example ${option} ${{ '--places': 12, '--turned': 180, '--gamma': 2.2 }[option]}: ${why}.`,
  });
};

/** `reseat cut JOB... -o FILE|- [--picture FILE]` */
import {
  type Check,
  type CutFormat,
  cautionsText,
  cutFormats,
  cutJob,
  cutJson,
  cutText,
  formatOf,
  InputError,
  jobPicture,
  pictureSvg,
  writeCutFile,
} from '../../internal.js';
import { isFolder } from '../disk.js';
import { at, type Io, jsonLine, standardStream, status } from '../io.js';
import { pictureBytes, pictureFormatOf } from '../picture-file.js';
import { startProgress } from '../progress.js';
import { refuseSamePlace, saveAll, type Target, targetFor } from '../save.js';
import { eachJob, statusOf } from './jobs.js';

export interface CutOptions {
  readonly output: string | undefined;
  readonly format: string | undefined;
  /** Of the part on its bed with what is cut; for one job. */
  readonly picture?: string;
  readonly force: boolean;
  /** Write the cut although the readings contradict each other grossly. */
  readonly unproven: boolean;
  readonly json: boolean;
}

interface Finished {
  /** Absent: standard output. */
  readonly target?: Target;
  readonly text: string;
  readonly report: string;
  readonly isProven: boolean;
  readonly picture?: { readonly target: Target; readonly svg: string };
}

export const cut = async (jobs: readonly string[], options: CutOptions, io: Io): Promise<number> => {
  const outputs = outputsFor(jobs, options, io);
  const { picture } = options;
  if (picture !== undefined) refusePicture(picture, jobs);
  const progress = startProgress(io.stderr, options.json);
  const outcomes = await eachJob<Finished>(io, jobs, progress, 'cutting', ({ path, loaded, inputs }) => {
    const { output, format } = outputs.get(path)!;
    const target = isStream(output) ? undefined : targetFor(io, output, { force: options.force, inputs });
    const done = cutJob(loaded);
    if (!done.ok) return done;
    const { job } = loaded;
    if (done.contradiction !== undefined && !options.unproven)
      throw refusedCut(done.contradiction, done.check, path);
    const named = target === undefined ? `standard output, ${format.toUpperCase()}` : output;
    const report = options.json ? jsonLine(cutJson(job, output, done)) : cutText(job, named, done);
    const result: Finished = {
      ...(target === undefined ? {} : { target }),
      text: writeCutFile(done.file, format),
      report,
      isProven: done.unproven === undefined,
    };
    if (picture === undefined) return { result };
    const { openings, outline } = loaded.roles;
    const place = targetFor(io, picture, { force: options.force, inputs, what: 'a picture' });
    refuseSamePlace(target === undefined ? [place] : [target, place]);
    return {
      result: {
        ...result,
        picture: { target: place, svg: pictureSvg(jobPicture({ job, openings, outline, ...done })) },
      },
    };
  });
  await progress.end();

  const results = outcomes.flatMap((o) => ('result' in o ? [o.result] : []));
  const failed = results.length < outcomes.length;
  if (failed) {
    if (jobs.length > 1) io.stderr.write('reseat: nothing was written, for none of the jobs.\n');
    return statusOf(outcomes);
  }
  const saved: { target: Target; text: string | Uint8Array }[] = [];
  for (const { target, text } of results) if (target !== undefined) saved.push({ target, text });
  for (const { picture: drawn } of results) {
    if (drawn === undefined) continue;
    const text = await pictureBytes(drawn.svg, pictureFormatOf(drawn.target.path));
    saved.push({ target: drawn.target, text });
  }
  saveAll(saved);
  const reports = results.map((r) => r.report);
  const report = options.json ? reports.join('') : `${reports.join('\n')}\n${cautionsText()}`;
  const onStream = results.filter(({ target }) => target === undefined);
  for (const { text } of onStream) io.stdout.write(text);
  (onStream.length > 0 ? io.stderr : io.stdout).write(report);
  return results.every(({ isProven }) => isProven) ? status.done : status.doesNotFit;
};

/** A cut by such readings spoils the part; what they say has to be settled first. */
const refusedCut = (contradiction: string, check: Check | undefined, job: string): InputError => {
  const first = check?.advice[0]?.message ?? '"reseat check" says what to do.';
  return new InputError({
    found: contradiction,
    expected: 'readings that agree as well as a cut needs',
    where: { file: job },
    next: `${first} Nothing was written; --unproven writes the cut all the same, and it is marked so.`,
  });
};

/** @throws InputError for a name that no picture can have, or for more than one job */
const refusePicture = (picture: string, jobs: readonly string[]): void => {
  pictureFormatOf(picture);
  if (jobs.length < 2) return;
  throw new InputError({
    found: `--picture with ${jobs.length} jobs`,
    expected: 'one job where a picture is asked for',
    next: 'Call once for each job that is to be drawn.',
  });
};

/** Where the result of each job goes, and in which format. */
const outputsFor = (
  jobs: readonly string[],
  { output, format, json }: CutOptions,
  io: Io,
): Map<string, { output: string; format: CutFormat }> => {
  if (output === undefined) {
    throw new InputError({
      found: 'no place for the result',
      expected: jobs.length > 1 ? '-o and a folder' : '-o and the name of a cut file',
      next: jobs.length > 1 ? 'Add -o FOLDER.' : 'Add -o FILE.svg, FILE.dxf or FILE.nc.',
    });
  }
  const [first] = jobs;
  if (isStream(output)) {
    refuseForStream(jobs, json);
    return new Map([[first!, { output, format: knownFormat(format) }]]);
  }
  if (jobs.length === 1 && first !== undefined) {
    if (format !== undefined) {
      throw new InputError({
        found: '--format with one job',
        expected: 'the format in the name of the cut file',
        next: 'Leave out --format; a name ending in .svg, .dxf or .nc says it.',
      });
    }
    if (isFolder(io, output)) {
      throw new InputError({
        found: 'a folder',
        expected: 'the name of a cut file',
        where: { file: output },
        next: `Name the file, as in -o ${joined(output, `${nameOf(first)}.svg`)}.`,
      });
    }
    return new Map([[first, { output, format: formatOf(output) }]]);
  }
  if (!isFolder(io, output)) {
    throw new InputError({
      found: 'no folder of that name',
      expected: 'an existing folder, for there are several jobs',
      where: { file: output },
      next: 'Make the folder first, or call once for each job.',
    });
  }
  return outputsInFolder(jobs, output, knownFormat(format), io);
};

const isStream = (output: string): boolean => output === standardStream;

/** @throws InputError where something else would stand beside the cut on standard output */
const refuseForStream = (jobs: readonly string[], json: boolean): void => {
  if (jobs.length < 2 && !json) return;
  throw new InputError({
    found: json ? '--json with -o -' : `-o - with ${jobs.length} jobs`,
    expected: 'one thing on standard output',
    next: json
      ? 'Write the cut into a file, or leave out --json: the report then goes to standard error.'
      : 'Call once for each job, or give -o a folder.',
  });
};

const outputsInFolder = (jobs: readonly string[], folder: string, format: CutFormat, io: Io) => {
  const outputs = new Map<string, { output: string; format: CutFormat }>();
  const owners = new Map<string, string>();
  for (const job of jobs) {
    if (job === standardStream) {
      throw new InputError({
        found: 'a job on standard input among several',
        expected: 'job files, for their cut files take their names',
        next: 'Call for it alone, with -o and the name of its cut file.',
      });
    }
    const output = joined(folder, `${nameOf(job)}.${format}`);
    const owner = owners.get(at(io, output));
    if (owner !== undefined) {
      throw new InputError({
        found:
          owner === job
            ? `the job ${job} twice`
            : `${owner} and ${job}, both of which would be written there`,
        expected: 'one cut file for each job',
        where: { file: output },
        next: owner === job ? 'Name it once.' : 'Rename one of the jobs, or call once for each.',
      });
    }
    owners.set(at(io, output), job);
    outputs.set(job, { output, format });
  }
  return outputs;
};

const knownFormat = (format = 'svg'): CutFormat => {
  const known = cutFormats.find((one) => one === format.toLowerCase());
  if (known !== undefined) return known;
  throw new InputError({
    found: `--format ${format}`,
    expected: 'svg, dxf or nc',
    next: 'Choose one of them.',
  });
};

/** The job file's name without folder and extension. */
const nameOf = (job: string): string => {
  const base = job.replace(/^.*[/\\]/, '');
  return base.replace(/(?<=.)\.(ya?ml|json)$/i, '');
};

const joined = (folder: string, name: string): string =>
  (/[/\\]$/.test(folder) ? folder : `${folder}/`) + name;

/** `reseat page [JOB] -o FILE.html` */
import { readFileSync } from 'node:fs';
import { decodeText, InputError, loadJob } from '../../internal.js';
import { filesBeside, readJobBytes } from '../disk.js';
import { type Io, standardStream, status } from '../io.js';
import { saveAll, targetFor } from '../save.js';

export interface PageOptions {
  readonly output: string | undefined;
  readonly force: boolean;
}

export const page = async (job: string | undefined, options: PageOptions, io: Io): Promise<number> => {
  const { output, force } = options;
  if (output === undefined || !/\.html?$/i.test(output)) {
    throw new InputError({
      found: output === undefined ? 'no place for the page' : 'a page whose name does not end in .html',
      expected: '-o and a name ending in .html',
      ...(output === undefined ? {} : { where: { file: output } }),
      next: 'Add -o FILE.html.',
    });
  }
  const given = job === undefined ? undefined : await givenOf(job, io);
  const inputs = job === undefined ? [] : [job, ...given!.inputs];
  const target = targetFor(io, output, { force, inputs, what: 'the page' });
  saveAll([{ target, text: emptyPage().replace(place, () => `${start}${written(given?.json)}${end}`) }]);
  io.stdout.write(
    `${output}: ${job === undefined ? 'the page, empty' : `the page with ${job} and what it names`}. Open it in a browser; it needs no network.\n`,
  );
  return status.done;
};

const start = '<script type="application/json" id="given">';
const end = '</script>';
const place = `${start}null${end}`;

/** JSON that can stand in a script: nothing in it ends the script or begins a comment. */
const written = (value: unknown): string => JSON.stringify(value ?? null).replace(/</g, '\\u003c');

/** The job with every file it names; one that cannot be read is refused here and not in the browser. */
const givenOf = async (job: string, io: Io) => {
  const text = decodeText(await readJobBytes(io, job), job);
  const { files, used } = filesBeside(io, job);
  const named: Record<string, string> = {};
  const read = (path: string): Uint8Array | undefined => {
    const bytes = files.read(path);
    if (bytes !== undefined) named[path] = Buffer.from(bytes).toString('base64');
    return bytes;
  };
  loadJob({ path: job, text }, { read });
  const path = job === standardStream ? 'job.yaml' : job.replace(/^.*[/\\]/, '');
  return { json: { path, text, files: named }, inputs: used };
};

/** In the folder above the bundle, or in dist/ three folders above the source. */
const emptyPage = (): string => {
  for (const where of ['../page.html', '../../page.html', '../../../dist/page.html']) {
    try {
      const text = readFileSync(new URL(where, import.meta.url), 'utf8');
      if (text.includes(place)) return text;
    } catch (error) {
      if ((error as { code?: string }).code !== 'ENOENT') throw error;
    }
  }
  throw new Error('dist/page.html is not there: run "npm run build" first');
};

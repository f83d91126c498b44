/** `reseat list DRAWING|JOB... [--units mm] [--dpi 96] [--join mm] [-o FILE]` */
import {
  bounds,
  decodeText,
  faultText,
  InputError,
  type LengthUnit,
  type ListedDrawing,
  listDrawing,
  listJob,
  listJson,
  listPicture,
  listText,
  millimetresIn,
  nearestWord,
  type PixelsToInch,
} from '../../internal.js';
import { filesBeside, isFolder, readJobBytes, readRequired } from '../disk.js';
import { at, type Io, jsonLine, standardStream, status } from '../io.js';
import { pictureBytes, pictureFormatOf } from '../picture-file.js';
import { startProgress } from '../progress.js';
import { saveAll, type Target, targetFor } from '../save.js';

export interface ListOptions {
  readonly units: string | undefined;
  /** As typed. */
  readonly dpi: string | undefined;
  /** As typed. */
  readonly join: string | undefined;
  /** The picture; with several drawings the folder for one each. */
  readonly output: string | undefined;
  readonly force: boolean;
  readonly json: boolean;
}

export const list = async (drawings: readonly string[], options: ListOptions, io: Io): Promise<number> => {
  const units = options.units === undefined ? undefined : knownUnit(options.units);
  const dpi = options.dpi === undefined ? undefined : knownDpi(options.dpi, units);
  const join = options.join === undefined ? undefined : joinDistance(options.join);
  const pictures = picturesFor(drawings, options.output, io);
  const saved: { target: Target; text: string | Uint8Array }[] = [];
  const results: string[] = [];
  let result: number = status.done;
  const progress = startProgress(io.stderr);
  for (const [index, path] of drawings.entries()) {
    progress.step(`reading ${path}${drawings.length > 1 ? ` (${index + 1} of ${drawings.length})` : ''}`);
    try {
      const { listed, used } = isJob(path)
        ? await listedOfJob(path, options, io)
        : {
            listed: listDrawing(readRequired(io, path, 'a drawing'), path, {
              ...(units === undefined ? {} : { units }),
              ...(dpi === undefined ? {} : { dpi }),
              ...(join === undefined ? {} : { join }),
            }),
            used: [],
          };
      const picture = pictures.get(path);
      if (picture !== undefined) {
        const target = targetFor(io, picture, {
          force: options.force,
          inputs: [...drawings, ...used],
          what: 'a picture',
        });
        saved.push({ target, text: await pictureBytes(listPicture(listed), pictureFormatOf(picture)) });
      }
      const report = options.json ? jsonLine(listJson(listed)) : listText(listed);
      results.push(picture === undefined || options.json ? report : `${report}Picture: ${picture}\n`);
    } catch (error) {
      if (!(error instanceof InputError)) throw error;
      io.stderr.write(`${faultText(error, path)}\n`);
      result = status.wrongInput;
    }
  }
  await progress.end();
  saveAll(saved);
  io.stdout.write(results.join(options.json ? '' : '\n'));
  return result;
};

const isJob = (path: string): boolean => path === standardStream || /\.(ya?ml|json)$/i.test(path);

/** The drawing of a job, with all that this reads. */
const listedOfJob = async (
  path: string,
  { units, dpi, join }: ListOptions,
  io: Io,
): Promise<{ listed: ListedDrawing; used: string[] }> => {
  const stated = Object.entries({ units, dpi, join }).find(([, value]) => value !== undefined);
  if (stated !== undefined) {
    throw new InputError({
      found: `--${stated[0]} with a job file`,
      expected: `that in the job: ${stated[0]}: ${stated[1]}`,
      where: { file: path },
      next: `Write it into the job, or call "reseat list" on the drawing itself.`,
    });
  }
  const { files, used } = filesBeside(io, path);
  const text = decodeText(await readJobBytes(io, path), path);
  return { listed: listJob({ path, text }, files), used };
};

/** Where the picture of each drawing goes, if pictures are asked for. */
const picturesFor = (
  drawings: readonly string[],
  output: string | undefined,
  io: Io,
): Map<string, string> => {
  const pictures = new Map<string, string>();
  if (output === undefined) return pictures;
  if (drawings.length === 1) {
    pictureFormatOf(output);
    return pictures.set(drawings[0]!, output);
  }
  if (!isFolder(io, output)) {
    throw new InputError({
      found: 'no folder of that name',
      expected: 'an existing folder, for there are several drawings',
      where: { file: output },
      next: 'Make the folder first, or call once for each drawing.',
    });
  }
  const owners = new Map<string, string>();
  for (const drawing of drawings) {
    const name = drawing.replace(/^.*[/\\]/, '').replace(/(?<=.)\.[a-z]{3,4}$/i, '');
    const picture = `${output.replace(/[/\\]$/, '')}/${name}.png`;
    const owner = owners.get(at(io, picture));
    if (owner !== undefined) {
      throw new InputError({
        found:
          owner === drawing
            ? `the drawing ${drawing} twice`
            : `${owner} and ${drawing}, both of which would be drawn there`,
        expected: 'one picture for each drawing',
        where: { file: picture },
        next: owner === drawing ? 'Name it once.' : 'Call once for each of them.',
      });
    }
    owners.set(at(io, picture), drawing);
    pictures.set(drawing, picture);
  }
  return pictures;
};

const knownDpi = (typed: string, units: LengthUnit | undefined): PixelsToInch => {
  const dpi = /^\d*\.?\d+$/.test(typed) ? Number(typed) : Number.NaN;
  const { atLeast, atMost } = bounds.dpi;
  if (!(dpi >= atLeast && dpi <= atMost)) {
    throw new InputError({
      found: `--dpi ${typed}`,
      expected: `a number from ${atLeast} to ${atMost}`,
      next: 'Write --dpi 96 as in CSS, or for example --dpi 90 or --dpi 72 for files of older programs.',
    });
  }
  if (units === undefined || units === 'px') return dpi;
  throw new InputError({
    found: `--dpi ${typed} beside --units ${units}`,
    expected: 'one of them, unless the unit is px',
    next: 'Keep the one that holds: --dpi counts px to the inch.',
  });
};

const joinDistance = (typed: string): number => {
  const distance = /^\d*\.?\d+$/.test(typed) ? Number(typed) : Number.NaN;
  if (distance <= bounds.join.atMost) return distance;
  throw new InputError({
    found: `--join ${typed}`,
    expected: `a distance in mm, from 0 to ${bounds.join.atMost}`,
    next: 'Write for example --join 0.05.',
  });
};

const knownUnit = (word: string): LengthUnit => {
  const known = Object.keys(millimetresIn) as LengthUnit[];
  const unit = known.find((one) => one === word.toLowerCase());
  if (unit !== undefined) return unit;
  const nearest = nearestWord(word, known);
  throw new InputError({
    found: `--units ${word}`,
    expected: `one of ${known.join(', ')}`,
    next: nearest === undefined ? 'Choose one of them.' : `Did you mean ${nearest}?`,
  });
};

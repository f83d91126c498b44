/** DXF drawings, in text or binary, from release 12 on: as far as they say where edges lie. */
import { scaling } from '../../geometry/affine.js';
import type { LengthUnit, PixelsToInch } from '../../job/job.js';
import { InputError, type Warning, type Where } from '../../job/messages.js';
import type { Drawing } from '../model/drawing.js';
import { LeftOutList, lineOf } from '../model/left-out.js';
import { expandDxf, onSheet } from './blocks/expand.js';
import { dxfUnits } from './dxf-units.js';
import { AsciiTags } from './tags/ascii-tags.js';
import { BinaryTags, isBinaryDxf } from './tags/binary-tags.js';
import { readStructure } from './tags/structure.js';
import type { Tags } from './tags/tags.js';

/**
 * Reads a DXF drawing. The file goes by once; of its entities only their numbers are kept until the
 * last one, since a block can be drawn before the blocks in it are known.
 *
 * @param options.units length of a unit of the drawing where it states none; where it contradicts
 * the drawing, it wins
 * @throws InputError for a damaged or hostile file, unknown units, coordinates out of reach, and a
 * drawing without any edge
 */
export const readDxf = (
  bytes: Uint8Array,
  options: { readonly path: string; readonly units?: LengthUnit; readonly dpi?: PixelsToInch },
): Drawing => {
  const { path } = options;
  const tags = tagsOf(bytes, path);
  const file = readStructure(tags);
  const leftOut = new LeftOutList();
  const units = dxfUnits(file, tags, options.units);
  const store = expandDxf(file, tags, scaling(units.millimetres, units.millimetres), leftOut);
  if (store.count === 0) throw nothingDrawn(tags.where(file.entitiesAt), leftOut);
  const warnings: Warning[] = [...units.warnings];
  if (options.dpi !== undefined) {
    warnings.push({
      code: 'dpi-unused',
      message: `dpi: ${options.dpi} changes nothing: a DXF drawing has no px.`,
    });
  }
  const list = leftOut.toList();
  const summary = leftOut.summary();
  if (summary !== undefined) {
    const unplotted = list.flatMap(({ why }) => /^its layer (.*) is not plotted$/.exec(why)?.[1] ?? []);
    const layers = [...new Set(unplotted)].slice(0, mostLayers).join(', ');
    const because = layers === '' ? '' : ` What lies in layers that are not plotted (${layers}) is left out.`;
    const message = `Not everything in the drawing was taken over: ${summary}.${because} \`reseat list\` says where and why.`;
    warnings.push({ code: 'content-left-out', message });
  }
  if (!file.hasEnd) {
    const message =
      'The file ends without its EOF: something may be missing at its end. Hold the list of its shapes against the drawing, or export it again.';
    warnings.push({ code: 'end-missing', message });
  }
  const unseen = [...file.layers].flatMap(([name, { frozen, off, plotted }]) =>
    frozen || off || !plotted ? [[name, frozen ? 'frozen' : off ? 'off' : 'not plotted'] as const] : [],
  );
  return {
    path,
    units: units.name,
    box: store.curves.boxOfAll(),
    fromUserUnits: scaling(units.millimetres, units.millimetres),
    ...(unseen.length === 0 ? {} : { unseenLayers: new Map(unseen) }),
    shapes: store.shapes(),
    leftOut: list,
    warnings,
  };
};

/** Named in a warning. */
const mostLayers = 6;

/** The tags of a file; text in UTF-16 is turned into UTF-8 before. */
export const tagsOf = (bytes: Uint8Array, path: string): Tags => {
  if (isBinaryDxf(bytes)) return new BinaryTags(bytes, path);
  const label = utf16In(bytes);
  if (label === undefined) return new AsciiTags(bytes, path);
  // What some editors write when they save a text file, though no DXF is defined like that.
  return new AsciiTags(new TextEncoder().encode(new TextDecoder(label).decode(bytes)), path, true);
};

/** By its byte order mark, or by the zero bytes beside the first letter. */
export const utf16In = ([first, second, third, fourth]: Uint8Array): string | undefined => {
  if ((first === 0xff && second === 0xfe) || (first! > 0 && second === 0 && third! > 0 && fourth === 0)) {
    return 'utf-16le';
  }
  if ((first === 0xfe && second === 0xff) || (first === 0 && second! > 0 && third === 0 && fourth! > 0)) {
    return 'utf-16be';
  }
  return undefined;
};

const nothingDrawn = (section: Where, leftOut: LeftOutList): InputError => {
  const list = leftOut.toList();
  const [first] = list;
  const isOnSheet = list.some(({ why }) => why === onSheet);
  if (
    first !== undefined &&
    isOnSheet &&
    list.every(({ what, why }) => why === onSheet || what === 'VIEWPORT')
  ) {
    return new InputError({
      found: `a drawing that lies on a sheet (paper space) as a whole: ${leftOut.summary()}; its model space is empty`,
      expected: 'lines, arcs, circles, polylines or splines in its model space',
      where: { ...section, ...lineOf(first) },
      next: 'Move what is drawn from the sheet to the model space, at full size, and export the drawing again.',
    });
  }
  return new InputError({
    found:
      first === undefined
        ? 'a drawing without a single entity in its model space'
        : `a drawing of which nothing can be taken: ${leftOut.summary()} (the first at ${first.where.split(';')[0]}: ${first.why})`,
    expected: 'lines, arcs, circles, polylines or splines in its model space',
    where: { ...section, ...lineOf(first) },
    next: 'Export the drawing again with the edges that are to be cut.',
  });
};

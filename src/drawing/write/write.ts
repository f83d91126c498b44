/** The writers, by format. */
import type { CutFile, CutFormat } from './cut-file.js';
import { writeDxf } from './write-dxf.js';
import { writeNc } from './write-nc.js';
import { writeSvg } from './write-svg.js';

const writers: Readonly<Record<CutFormat, (file: CutFile) => string>> = {
  svg: writeSvg,
  dxf: writeDxf,
  nc: writeNc,
};

/**
 * The whole text of a cut file.
 *
 * @throws InputError for an NC file of a machine whose profile does not say how it is driven
 */
export const writeCutFile = (file: CutFile, format: CutFormat): string => writers[format](file);

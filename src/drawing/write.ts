/** The writers, by format. */
import type { CutFile, CutFormat } from './cut-file.js';
import { writeDxf } from './write-dxf.js';
import { writeSvg } from './write-svg.js';

/** The whole text of a cut file. */
export const writeCutFile = (file: CutFile, format: CutFormat): string =>
  format === 'svg' ? writeSvg(file) : writeDxf(file);

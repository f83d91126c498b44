/**
 * What is in a drawing, as `--json` prints it: the contract of the README beside it; design frame,
 * mm.
 */

import type { ListedDrawing } from '../../drawing/list-drawing.js';
import type { LeftOut, Role } from '../../drawing/model/drawing.js';
import type { Warning } from '../../job/messages.js';
import { type BoxJson, boxJson } from './box-json.js';

export interface ListJson {
  drawing: string;
  units: string;
  /** null for a drawing without shapes. */
  box: BoxJson | null;
  shapes: {
    id: string;
    layer: string | null;
    role: Role;
    kind: string;
    closed: boolean;
    length: number;
    /** null for an open shape. */
    area: number | null;
    box: BoxJson;
    /** Colour of the stroke; null for none. */
    stroke: string | null;
    fill: string | null;
  }[];
  /**
   * Those that the job lists, else those drawn; `from`: `typed`, or the ids of the shapes whose
   * centre it is.
   */
  marks: { name: string; at: [number, number]; from: 'typed' | string[] }[];
  /** What states assumed roles in a job; null where none were assumed, or no short line does. */
  rolesLine: string | null;
  /**
   * Where it is not certain which path is the outline: the ways to understand the drawing, that of
   * `shapes` first; else null.
   */
  readings: { says: string; rolesLine: string | null; roles: Record<string, Role> }[] | null;
  joined: {
    /** The join distance, mm. */
    distance: number;
    /** Closed paths made of loose lines, and the lines they were made of. */
    outlines: number;
    lines: number;
    /** Open paths made of several. */
    openPaths: number;
    /** mm; null where nothing was joined. */
    largestGap: number | null;
  };
  /** Lines left out, in whole or in part, because they lie on others. */
  duplicates: number;
  leftOut: LeftOut[];
  warnings: Warning[];
}

export const listJson = ({ drawing, roles, joined, rows, marks, warnings }: ListedDrawing): ListJson => ({
  drawing: drawing.path,
  units: drawing.units,
  box: drawing.box.minX > drawing.box.maxX ? null : boxJson(drawing.box),
  shapes: rows.map(({ id, layer, role, kind, closed, length, area, box, stroke, fill }) => ({
    id,
    layer: layer ?? null,
    role,
    kind,
    closed,
    length,
    area: area ?? null,
    box: boxJson(box),
    stroke: stroke ?? null,
    fill: fill ?? null,
  })),
  marks: marks.map(({ name, at, from }) => ({
    name,
    at: [at.x, at.y],
    from: from === 'typed' ? from : [...from],
  })),
  rolesLine: roles.line ?? null,
  readings:
    roles.doubt?.readings.map((reading) => ({
      says: reading.says,
      rolesLine: reading.line ?? null,
      roles: Object.fromEntries(reading.roles),
    })) ?? null,
  joined: {
    distance: joined.distance,
    outlines: joined.outlines,
    lines: joined.lines,
    openPaths: joined.openChains,
    largestGap: joined.largestGap ?? null,
  },
  duplicates: joined.duplicates,
  leftOut: [...drawing.leftOut],
  warnings: [...warnings],
});

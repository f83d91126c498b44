/**
 * The cut file as DXF of the year 2000 (AC1015; with names beyond ASCII of 2007, AC1021):
 * millimetres, one LWPOLYLINE per path, arcs as bulges; a path with other curves in one entity for
 * each run of one kind (`write-dxf-curves.ts`).
 *
 * Written here rather than by a library: of `dxf-writer` 1.18 the handles run on from one drawing
 * to the next (the same job would not give the same file twice), paths are regrouped by layer
 * (inner cuts must come first), small numbers come out with exponents, entities name a block
 * instead of its record as owner and carry layer and colour in the wrong subclass, and the
 * drawing's extents are missing. Group codes after the published DXF reference of the year 2000,
 * from memory; the tests hold the result against another reader's audit.
 */

import type { Arc, Line, Segment } from '../../geometry/curve.js';
import type { Box } from '../../geometry/point.js';
import { colourTags } from '../dxf/tags/colour-tags.js';
import {
  type CutFile,
  type CutFilePath,
  commentLines,
  decimal,
  extentOf,
  isEdge,
  verticesOf,
} from './cut-file.js';
import { curveTags, runsOf, type Tag } from './write-dxf-curves.js';

/**
 * 1e-9 mm; a bulge errs by its rounding times half the chord, hence all the digits that a double
 * has.
 */
const decimals = 9;
const bulgeDecimals = 15;

/**
 * Read again, everything lies within 1e-6 mm of where it was as long as it reaches over no more
 * than 100 m, as far as a part may. A path that keeps within 1e-6 mm is a point to a reader.
 */
export const writeDxf = (file: CutFile<Segment>): string => {
  const handle = handles();
  const extent = extentOf(file);
  const box = extent.minX <= extent.maxX ? extent : { minX: 0, minY: 0, maxX: 0, maxY: 0 };
  const tables = writeTables(handle, layersOf(file), box);
  const blocks = [
    ...writeBlock(handle, '*Model_Space', tables.modelSpace),
    ...writeBlock(handle, '*Paper_Space', tables.paperSpace),
  ];
  const entities = file.paths.map((path) => writePath(path, handle, tables.modelSpace));
  const objects = writeObjects(handle);
  const header = writeHeader(handle(), box, versionFor(layersOf(file), hasTrueColours(file)));
  return [
    ...(file.remarks ?? []).flatMap(remarkTags).map(written),
    ...section('HEADER', header.map(written)),
    ...section('CLASSES', []),
    ...section('TABLES', tables.tags.map(written)),
    ...section('BLOCKS', blocks.map(written)),
    ...section('ENTITIES', entities),
    ...section('OBJECTS', objects.map(written)),
    written([0, 'EOF']),
  ].join('');
};

/**
 * Group 999 is a comment; readers pass it over and it may stand before the first section (DXF
 * reference, group codes in numerical order, from memory). A text value holds at most 255
 * characters there.
 */
const remarkTags = (remark: string): Tag[] =>
  commentLines(remark.normalize('NFKD').replace(/[^ -~]/g, ' '), 200).map((line): Tag => [999, line]);

const written = ([code, value]: Tag): string => `${String(code).padStart(3)}\n${value}\n`;

/**
 * A file of thousands of openings is nearly all vertices: they are written without a tag in
 * between.
 */
const writePath = (path: CutFilePath<Segment>, handle: () => string, owner: string): string => {
  const head = (type: string): Tag[] => [
    [0, type],
    [5, handle()],
    [330, owner],
    [100, 'AcDbEntity'],
    [8, layerName(path.layer)],
    ...(path.drawn === undefined ? [] : colourTags(path.drawn.stroke)),
  ];
  const { segments, open = false, drawn } = path;
  const [only] = segments;
  if (drawn !== undefined && segments.length === 1 && only?.kind === 'arc' && isWhole(only))
    return writeCircle(head('CIRCLE'), only);
  if (segments.every(isEdge)) return writePolyline(head('LWPOLYLINE'), segments, open, drawn !== undefined);
  return runsOf(segments)
    .map((run) => {
      if (run.kind === 'edges') return writePolyline(head('LWPOLYLINE'), run.segments, true);
      const { type, tags } = curveTags(run);
      return [...head(type), ...tags].map(written).join('');
    })
    .join('');
};

const isWhole = ({ sweep }: Arc): boolean => Math.abs(sweep) >= 2 * Math.PI - 1e-12;

const writeCircle = (head: readonly Tag[], { centre, radius }: Arc): string =>
  [
    ...head,
    [100, 'AcDbCircle'] as const,
    ...point(centre.x, centre.y),
    [40, decimal(radius, decimals)] as const,
  ]
    .map(written)
    .join('');

/**
 * A bulge tells a long arc as well as a short one; a cut keeps to short ones, which every machine
 * takes.
 */
const widestDrawn = 5;

const writePolyline = (
  head: readonly Tag[],
  segments: readonly (Line | Arc)[],
  open: boolean,
  drawn = false,
): string => {
  const vertices = drawn ? verticesOf(segments, open, widestDrawn) : verticesOf(segments, open);
  const own: Tag[] = [
    [100, 'AcDbPolyline'],
    [90, vertices.length],
    [70, open ? 0 : 1],
  ];
  const parts = [...head, ...own].map(written);
  for (const { at, sweep } of vertices) {
    parts.push(' 10\n', decimal(at.x, decimals), '\n 20\n', decimal(at.y, decimals), '\n');
    if (sweep !== undefined) parts.push(' 42\n', decimal(Math.tan(sweep / 4), bulgeDecimals), '\n');
  }
  return parts.join('');
};

/** Handles are hexadecimal numbers, each used once; the owner of what has none is 0. */
const handles = (): (() => string) => {
  let last = 0;
  return () => (++last).toString(16).toUpperCase();
};

const section = (name: string, body: readonly string[]): string[] => [
  written([0, 'SECTION']),
  written([2, name]),
  ...body,
  written([0, 'ENDSEC']),
];

const point = (x: number, y: number): Tag[] => [
  [10, decimal(x, decimals)],
  [20, decimal(y, decimals)],
  [30, '0'],
];

/**
 * Of the year 2000; true colours came in 2004, and names beyond ASCII need the first version that
 * is UTF-8, of 2007.
 */
const versionFor = (names: readonly string[], trueColours: boolean): string => {
  if (!names.every((name) => /^[ -~]*$/.test(name))) return 'AC1021';
  return trueColours ? 'AC1018' : 'AC1015';
};

const hasTrueColours = (file: CutFile<Segment>): boolean =>
  file.paths.some(({ drawn }) => drawn !== undefined && colourTags(drawn.stroke).length > 1);

const writeHeader = (nextHandle: string, box: Box, version: string): Tag[] => [
  [9, '$ACADVER'],
  [1, version],
  [9, '$DWGCODEPAGE'],
  [3, 'ANSI_1252'],
  [9, '$INSUNITS'],
  [70, 4],
  [9, '$MEASUREMENT'],
  [70, 1],
  [9, '$EXTMIN'],
  ...point(box.minX, box.minY),
  [9, '$EXTMAX'],
  ...point(box.maxX, box.maxY),
  [9, '$HANDSEED'],
  [5, nextHandle],
];

interface Tables {
  readonly tags: Tag[];
  /** Handles of the block records. */
  readonly modelSpace: string;
  readonly paperSpace: string;
}

const writeTables = (handle: () => string, layers: readonly string[], box: Box): Tables => {
  const table = (name: string, entries: readonly { subclass: string; body: readonly Tag[] }[]) => {
    const own = handle();
    const made: string[] = [];
    const tags: Tag[] = [
      [0, 'TABLE'],
      [2, name],
      [5, own],
      [330, '0'],
      [100, 'AcDbSymbolTable'],
      [70, entries.length],
    ];
    if (name === 'DIMSTYLE') tags.push([100, 'AcDbDimStyleTable']);
    for (const entry of entries) {
      const entryHandle = handle();
      made.push(entryHandle);
      tags.push(
        [0, name],
        // A dimension style is the one record whose handle has the code 105.
        [name === 'DIMSTYLE' ? 105 : 5, entryHandle],
        [330, own],
        [100, 'AcDbSymbolTableRecord'],
        [100, entry.subclass],
        ...entry.body,
      );
    }
    tags.push([0, 'ENDTAB']);
    return { tags, made };
  };
  const named = (subclass: string, name: string, ...body: Tag[]) => ({
    subclass,
    body: [[2, name], [70, 0], ...body] as Tag[],
  });
  const lineType = (name: string, text: string) =>
    named('AcDbLinetypeTableRecord', name, [3, text], [72, 65], [73, 0], [40, '0']);

  const height = Math.max(box.maxY - box.minY, 1);
  const view: Tag[] = [
    [10, '0'],
    [20, '0'],
    [11, '1'],
    [21, '1'],
    [12, decimal((box.minX + box.maxX) / 2, decimals)],
    [22, decimal((box.minY + box.maxY) / 2, decimals)],
    [16, '0'],
    [26, '0'],
    [36, '1'],
    [17, '0'],
    [27, '0'],
    [37, '0'],
    [40, decimal(height * 1.1, decimals)],
    [41, decimal(Math.max((box.maxX - box.minX) / height, 0.1), decimals)],
  ];
  const text: Tag[] = [
    [40, '0'],
    [41, '1'],
    [50, '0'],
    [71, 0],
    [42, '2.5'],
    [3, 'txt'],
    [4, ''],
  ];
  const before = [
    table('VPORT', [named('AcDbViewportTableRecord', '*Active', ...view)]),
    table('LTYPE', [lineType('ByBlock', ''), lineType('ByLayer', ''), lineType('Continuous', 'Solid line')]),
    table(
      'LAYER',
      // Colour 7 is black on white and white on black.
      ['0', ...layers].map((name) => named('AcDbLayerTableRecord', name, [62, 7], [6, 'Continuous'])),
    ),
    table('STYLE', [named('AcDbTextStyleTableRecord', 'Standard', ...text)]),
    table('VIEW', []),
    table('UCS', []),
    table('APPID', [named('AcDbRegAppTableRecord', 'ACAD')]),
    table('DIMSTYLE', [named('AcDbDimStyleTableRecord', 'Standard')]),
  ];
  const records = table('BLOCK_RECORD', [
    { subclass: 'AcDbBlockTableRecord', body: [[2, '*Model_Space']] },
    { subclass: 'AcDbBlockTableRecord', body: [[2, '*Paper_Space']] },
  ]);
  return {
    tags: [...before.flatMap((t) => t.tags), ...records.tags],
    modelSpace: records.made[0]!,
    paperSpace: records.made[1]!,
  };
};

const writeBlock = (handle: () => string, name: string, record: string): Tag[] => [
  [0, 'BLOCK'],
  [5, handle()],
  [330, record],
  [100, 'AcDbEntity'],
  [8, '0'],
  [100, 'AcDbBlockBegin'],
  [2, name],
  [70, 0],
  ...point(0, 0),
  [3, name],
  [1, ''],
  [0, 'ENDBLK'],
  [5, handle()],
  [330, record],
  [100, 'AcDbEntity'],
  [8, '0'],
  [100, 'AcDbBlockEnd'],
];

/** The root dictionary with the one entry that every drawing has. */
const writeObjects = (handle: () => string): Tag[] => {
  const root = handle();
  const groups = handle();
  return [
    [0, 'DICTIONARY'],
    [5, root],
    [330, '0'],
    [100, 'AcDbDictionary'],
    [281, 1],
    [3, 'ACAD_GROUP'],
    [350, groups],
    [0, 'DICTIONARY'],
    [5, groups],
    [330, root],
    [100, 'AcDbDictionary'],
    [281, 1],
  ];
};

/**
 * A layer's name without the characters that DXF forbids; upper and lower case are the same to DXF.
 */
const layerName = (layer: string): string =>
  layer
    .replace(/[\p{C}<>/\\":;?*|,=`]/gu, '_')
    .trim()
    .slice(0, 255) || 'layer';

/** The layers of the file beside layer 0, which every drawing has, each once. */
const layersOf = (file: CutFile<Segment>): string[] => {
  const names = new Map<string, string>();
  for (const path of file.paths) {
    const name = layerName(path.layer);
    if (!names.has(name.toUpperCase())) names.set(name.toUpperCase(), name);
  }
  names.delete('0');
  return [...names.values()];
};

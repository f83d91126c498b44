/**
 * 40 drawings whose roles nothing states, in the manner of what drawing programs write. What was drawn is known by names that say
 * nothing to the program: e.. is the panel's edge, h.. a hole, m.. a mark, x.. neither. In the DXF files these are layers.
 */
import { describe, expect, it } from 'vitest';
import { type ListedDrawing, listDrawing, listJob } from '../../src/drawing/list-drawing.js';
import type { Shape } from '../../src/drawing/model/drawing.js';
import { InputError } from '../../src/job/messages.js';
import { checkJob, loadJob } from '../../src/reseat.js';
import { dxfTags, type Tag, textOf } from './dxf-text.js';
import { bytesOf } from './svg-text.js';

const onPage = (body: string, root = 'width="100mm" height="80mm" viewBox="0 0 100 80"'): string =>
  `<svg xmlns="http://www.w3.org/2000/svg" xmlns:xlink="http://www.w3.org/1999/xlink" ${root}>${body}</svg>`;

const rect = (id: string, x: number, y: number, w: number, h: number, more = ''): string =>
  `<rect id="${id}" x="${x}" y="${y}" width="${w}" height="${h}" ${more}/>`;
const dot = (id: string, x: number, y: number, r: number, more = ''): string =>
  `<circle id="${id}" cx="${x}" cy="${y}" r="${r}" ${more}/>`;
const edge = rect('e', 10, 10, 80, 60);
const holes = dot('h1', 30, 40, 8) + rect('h2', 50, 30, 20, 15);
const panel = edge + holes;

interface Drawn {
  readonly text: string;
  /** What comes of it without a word in the job. */
  readonly is: 'right' | 'refused';
  /** Where the edge is the page itself, or not drawn closed. */
  readonly withoutOutline?: true;
}

const right = (text: string): Drawn => ({ text, is: 'right' });
const refused = (text: string): Drawn => ({ text, is: 'refused' });

const svgs: Record<string, Drawn> = {
  'a panel and its openings': right(onPage(panel)),
  'the edge last': right(onPage(holes + edge)),
  'layers as groups with labels, moved and turned': right(
    onPage(
      `<g id="layer1" label="Ebene 1" transform="translate(5 5)"><g transform="rotate(3 50 40) scale(.9)">${edge}</g></g><g id="layer2" label="Ebene 2" transform="translate(5 5)"><g transform="rotate(3 50 40) scale(.9)">${holes}</g></g>`,
    ),
  ),
  'a background of the page’s size': right(onPage(rect('x', 0, 0, 100, 80, 'fill="#fff"') + panel)),
  'a background as a path, in inches': right(
    onPage(
      `<path id="x" d="M0 0H283.465V226.772H0Z"/><g transform="scale(2.834646)">${panel}</g>`,
      'width="3.93701in" height="3.14961in" viewBox="0 0 283.465 226.772"',
    ),
  ),
  'a panel as large as the page': {
    ...right(onPage(rect('e', 0, 0, 100, 80) + holes)),
    withoutOutline: true,
  },
  'a frame round the panel': refused(onPage(rect('x', 4, 4, 92, 72) + panel)),
  'a frame and a title block': refused(onPage(rect('x1', 2, 2, 96, 76) + rect('x2', 70, 72, 26, 5) + panel)),
  'a title block beside the panel': refused(onPage(panel + rect('x', 70, 72, 28, 6))),
  'a title block drawn first': refused(onPage(rect('x1', 70, 72, 28, 6) + rect('x2', 72, 73, 6, 4) + panel)),
  'circles beside the panel': refused(onPage(panel + dot('x1', 4, 4, 1) + dot('x2', 96, 4, 1))),
  'marks by an English name': right(
    onPage(`${panel}<g id="Registration Marks">${dot('m1', 4, 4, 1)}${dot('m2', 96, 4, 1)}</g>`),
  ),
  'marks by a French name in the panel': right(
    onPage(`${panel}<g label="REPÈRES">${dot('m1', 14, 14, 1)}${dot('m2', 86, 14, 1)}</g>`),
  ),
  'marks that bear the name themselves': right(
    onPage(panel + dot('Passmarke_1', 14, 14, 1) + dot('Passmarke_2', 86, 14, 1)),
  ),
  'an opening over the edge': refused(onPage(panel + dot('h3', 90, 40, 5))),
  'an opening that touches the edge': refused(onPage(panel + rect('h3', 10, 50, 8, 8))),
  'an island in an opening': refused(onPage(panel + dot('h3', 30, 40, 3))),
  'two panels': refused(
    onPage(
      rect('e1', 5, 10, 40, 60) + dot('h1', 25, 40, 8) + rect('e2', 55, 10, 40, 60) + dot('h2', 75, 40, 8),
    ),
  ),
  'text turned into paths in the panel': refused(
    onPage(`${panel}<path id="h3" d="M15 55h8v10h-8zM17 57v6h4v-6z"/>`),
  ),
  'text turned into paths below the panel': refused(
    onPage(`${panel}<path id="x" d="M15 72h4v6h-4zM16 73v4h2v-4z"/>`),
  ),
  'the panel as one path': right(
    onPage('<path id="e" d="M10 10H90V70H10ZM20 20V30H30V20ZM50 30V50H70V30Z"/>'),
  ),
  'the panel as one path in a frame': refused(
    onPage(`${rect('x', 4, 4, 92, 72)}<path id="e" d="M10 10H90V70H10ZM20 20V30H30V20ZM50 30V50H70V30Z"/>`),
  ),
  'hairlines by a style sheet': right(
    onPage(`<style>.a{fill:none;stroke:#231f20;stroke-width:.1px}</style><g class="a">${panel}</g>`),
  ),
  'instances of a symbol': right(
    onPage(
      `<defs><symbol id="s" overflow="visible"><circle r="5"/></symbol><clipPath id="c"><rect width="100" height="80"/></clipPath></defs>${edge}<use id="h1" href="#s" x="30" y="40"/><use id="h2" xlink:href="#s" x="60" y="40"/>`,
    ),
  ),
  'an edge in two colours': right(
    onPage(
      `<path id="e1" d="M10 10H90V70" stroke="red"/><path id="e2" d="M90 70H10V10" stroke="#000"/>${holes}`,
    ),
  ),
  'an edge of lines in two layers': right(
    onPage(
      `<g id="e-a" fill="none" stroke="red"><path d="M10 10H90"/><path d="M90 10V70"/></g><g id="e-b" fill="none" stroke="blue"><path d="M90 70H10"/><path d="M10 70V10"/></g>${holes}`,
    ),
  ),
  'an edge that does not close round one opening with an island': refused(
    onPage(
      `<path id="x" fill="none" stroke="#000" d="M10 10H90V70H10V12"/>${dot('h1', 50, 40, 20)}${dot('h2', 50, 40, 8)}`,
    ),
  ),
  'openings alone': { ...right(onPage(holes)), withoutOutline: true },
  'openings that overlap, alone': refused(onPage(dot('h1', 30, 40, 10) + dot('h2', 42, 40, 10))),
};

const vertices = (points: readonly (readonly [number, number])[], layer: string): Tag[] => [
  [0, 'LWPOLYLINE'],
  [8, layer],
  [90, points.length],
  [70, 1],
  ...points.flatMap(([x, y]): Tag[] => [
    [10, x],
    [20, y],
  ]),
];
const box = (layer: string, x: number, y: number, w: number, h: number): Tag[] =>
  vertices(
    [
      [x, y],
      [x + w, y],
      [x + w, y + h],
      [x, y + h],
    ],
    layer,
  );
const line = (layer: string, x1: number, y1: number, x2: number, y2: number): Tag[] => [
  [0, 'LINE'],
  [8, layer],
  [10, x1],
  [20, y1],
  [11, x2],
  [21, y2],
];
const circle = (layer: string, x: number, y: number, r: number): Tag[] => [
  [0, 'CIRCLE'],
  [8, layer],
  [10, x],
  [20, y],
  [40, r],
];
const insert = (block: string, x: number, y: number): Tag[] => [
  [0, 'INSERT'],
  [8, '0'],
  [2, block],
  [10, x],
  [20, y],
];
const block = (name: string, ...entities: readonly Tag[][]): Tag[] => [
  [0, 'BLOCK'],
  [8, '0'],
  [2, name],
  [70, 0],
  [10, 0],
  [20, 0],
  ...entities.flat(),
  [0, 'ENDBLK'],
  [8, '0'],
];
const dxf = (entities: readonly Tag[][], blocks: readonly Tag[][] = [], insunits = 4): string =>
  textOf(dxfTags({ entities, blocks, insunits }));

const drawnPanel = [box('e', 10, 10, 80, 60), circle('h', 30, 40, 8), box('h', 50, 30, 20, 15)];

const dxfs: Record<string, Drawn> = {
  'a panel in layers that say nothing': right(dxf(drawnPanel)),
  'in inches': right(dxf([box('e', 1, 1, 8, 6), circle('h', 3, 4, 0.8)], [], 1)),
  'an edge of lines in two layers': right(
    dxf([
      line('e1', 10, 10, 90, 10),
      line('e2', 90, 10, 90, 70),
      line('e1', 90, 70, 10, 70),
      line('e2', 10, 70, 10, 10),
      circle('h', 30, 40, 8),
    ]),
  ),
  'the holes in a block that is placed twice': right(
    dxf(
      [box('e', 10, 10, 80, 60), insert('two', 0, 0), insert('two', 30, 0)],
      [block('two', circle('h', 25, 30, 4), circle('h', 25, 50, 4))],
    ),
  ),
  'a drawing frame in a block': refused(
    dxf(
      [...drawnPanel, insert('frame', 0, 0)],
      [block('frame', box('x', 2, 2, 96, 76), box('x', 60, 2, 38, 6))],
    ),
  ),
  'marks in a layer called so': right(
    dxf([...drawnPanel, circle('MARKIERUNGEN', 14, 14, 1), circle('MARKIERUNGEN', 86, 66, 1)]),
  ),
  'marks in the layer of the holes, beside the panel': refused(
    dxf([...drawnPanel, circle('x', 4, 4, 1), circle('x', 96, 76, 1)]),
  ),
  'a notch': refused(dxf([...drawnPanel, box('h', 40, 66, 10, 8)])),
  'fold lines to the corners': right(
    dxf([...drawnPanel, line('x', 10, 10, 30, 30), line('x', 90, 70, 75, 60)]),
  ),
  'the edge drawn again in another layer': right(dxf([...drawnPanel, box('e2', 10, 10, 80, 60)])),
  'two parts on one sheet': refused(dxf([...drawnPanel, box('e', 110, 10, 80, 60), circle('h', 150, 40, 8)])),
};

/** What a shape was drawn as. */
const truth = (shape: Shape): string => {
  const name = /^[ehmx]\d*(\.\d+)?$|^Pass/.test(shape.id) ? shape.id : (shape.layers.at(0) ?? '');
  return /^(mark|pass|regis|rep)/i.test(name) ? 'm' : name.charAt(0);
};

/** Whether everything is what it was drawn as. */
const isTrue = ({ roles }: Pick<ListedDrawing, 'roles'>, withoutOutline = false): boolean =>
  roles.shapes.every((shape) => {
    const role = roles.roles.get(shape.id);
    const drawn = truth(shape);
    if (drawn === 'e') {
      const isPart = /\.\d+$/.test(shape.id);
      return role === (isPart ? 'opening' : withoutOutline ? 'unused' : 'outline');
    }
    return drawn === 'h' ? role === 'opening' : drawn === 'm' ? role === 'mark' : role === 'unused';
  });

const marks = '{A: [3, 3], B: [97, 3], C: [3, 77]}';

const all = [
  ...Object.entries(svgs).map(([name, drawn]) => [`SVG: ${name}`, 'd.svg', drawn] as const),
  ...Object.entries(dxfs).map(([name, drawn]) => [`DXF: ${name}`, 'd.dxf', drawn] as const),
];

describe('a drawing without a word about roles', () => {
  it('comes in forty kinds here', () => {
    expect(all).toHaveLength(40);
  });

  it.each(all)(
    'is understood as it was drawn, or refused with a line that mends it: %s',
    (_name, path, drawn) => {
      const bytes = bytesOf(drawn.text);
      const text = (roles = ''): string =>
        `drawing: ${path}\n${roles}\nmarks: ${marks}\nreadings: ${marks}\nfit: {reading-sd: 0.05}\ncut: {clearance: 0.5}\n`;
      const files = { read: () => bytes };
      const check = (roles?: string) => checkJob(loadJob({ path: 'job.yaml', text: text(roles) }, files));
      const listed = listDrawing(bytes, path);
      if (drawn.is === 'right') {
        expect(listed.roles.doubt).toBeUndefined();
        expect(isTrue(listed, drawn.withoutOutline)).toBe(true);
        expect(check().ok).toBe(true);
        return;
      }
      let refusal: unknown;
      try {
        check();
      } catch (error) {
        refusal = error;
      }
      expect(refusal).toBeInstanceOf(InputError);
      const { readings } = listed.roles.doubt!;
      const lines = readings.flatMap(({ line }) => line ?? []);
      for (const roles of lines) expect((refusal as InputError).next).toContain(roles);
      // Each line means what is said of it, and one of them is what was drawn.
      let mended = 0;
      for (const reading of readings) {
        if (reading.line === undefined) continue;
        const stated = listJob({ path: 'job.yaml', text: text(reading.line) }, files);
        expect(stated.roles.doubt).toBeUndefined();
        for (const role of ['opening', 'outline'] as const) {
          const ids = (roles: typeof reading.roles) => [...roles.each(role)].map(({ id }) => id);
          expect(ids(stated.roles.roles)).toEqual(ids(reading.roles));
        }
        expect(check(reading.line).ok).toBe(true);
        if (isTrue(stated)) mended += 1;
      }
      expect(mended).toBe(1);
    },
  );
});

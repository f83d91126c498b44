import * as fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import type { Shape } from '../../src/drawing/model/drawing.js';
import { shapeBox } from '../../src/drawing/model/shape-store.js';
import { readDrawing } from '../../src/drawing/read.js';
import { assignRoles } from '../../src/drawing/roles/roles.js';
import { strokeOf } from '../../src/drawing/roles/selectors.js';
import { markedDrawing } from '../../src/drawing/write/marked-drawing.js';
import { boxCentre } from '../../src/geometry/point.js';
import { readJob } from '../../src/job/read/read-job.js';
import { messageOf } from '../job/message-of.js';
import { binaryOf, bytesOf, type DxfParts, dxfTags, type Tag, textOf } from './dxf-text.js';

const rolesOf = (roles: string) =>
  readJob(
    { path: 'job.yaml', text: `drawing: d.dxf\nroles: ${roles}\n` },
    { read: () => undefined },
    { withoutReadings: true },
  ).roles;

const asBytes = (content: string | Uint8Array): Uint8Array =>
  typeof content === 'string' ? bytesOf(content) : content;

const marks = [
  { name: 'A', at: { x: 12.5, y: 3 } },
  { name: 'B', at: { x: 7, y: 81.25 } },
];

const marked = (
  bytes: Uint8Array,
  path: string,
  roles: string,
  format: 'svg' | 'dxf',
  names: string[] = [],
) => {
  const drawing = readDrawing(bytes, { path });
  const assignment = assignRoles(drawing, rolesOf(roles));
  const { content, anew } = markedDrawing({ drawing, bytes, marks, roles: assignment, names }, format);
  const written = asBytes(content);
  const back = readDrawing(written, { path: `back.${format}` });
  return { drawing, assignment, written, anew, back, again: assignRoles(back, rolesOf(roles)) };
};

const said = ({ id, named, layers, element, stroke, paths, line }: Shape, withLine: boolean) => ({
  id,
  named,
  layers,
  element,
  stroke,
  paths: paths.map(({ segments, closed }) => ({ closed, segments: [...segments] })),
  ...(withLine ? { line } : {}),
});

const circleTags = (x: number, y: number, r: number): Tag[] => [
  [10, x],
  [20, y],
  [40, r],
];

const layers = ['0', 'PEGS', 'FRONDS', 'RIM', 'Blätter'];
const arbitraryEntity = fc.record({
  kind: fc.constantFrom('LINE', 'CIRCLE', 'SPLINE', 'ARC'),
  layer: fc.constantFrom(...layers),
  colour: fc.constantFrom<Tag[]>(
    [],
    [[62, 1]],
    [[62, 3]],
    [[62, 5]],
    [
      [62, 7],
      [420, 0xc83737],
    ],
    [[62, 44]],
  ),
  handle: fc.boolean(),
  at: fc.tuple(fc.integer({ min: 0, max: 300 }), fc.integer({ min: 0, max: 200 })),
});

type Drawn = typeof arbitraryEntity extends fc.Arbitrary<infer T> ? T : never;

const entityTags = ({ kind, layer, colour, handle, at: [x, y] }: Drawn, i: number): Tag[] => {
  const head: Tag[] = [
    [0, kind],
    ...(handle ? [[5, (0x30 + i).toString(16)] as const] : []),
    [8, layer],
    ...colour,
  ];
  if (kind === 'LINE') return [...head, [10, x], [20, y], [11, x + 9], [21, y + 5]];
  if (kind === 'CIRCLE') return [...head, ...circleTags(x, y, 4)];
  if (kind === 'ARC') return [...head, ...circleTags(x, y, 4), [50, 10], [51, 200]];
  const knots = [0, 0, 0, 0, 1, 1, 1, 1].map((k): Tag => [40, k]);
  const controls = [0, 1, 2, 3].flatMap((k): Tag[] => [
    [10, x + 5 * k],
    [20, y + k * (3 - k)],
  ]);
  return [...head, [70, 8], [71, 3], [72, 8], [73, 4], ...knots, ...controls];
};

/** Peg, rim and frond for certain, so that every role has a shape; others by chance. */
const certain: Drawn[] = [
  { kind: 'CIRCLE', layer: 'PEGS', colour: [[62, 3]], handle: false, at: [5, 5] },
  { kind: 'CIRCLE', layer: 'FRONDS', colour: [[62, 1]], handle: true, at: [50, 50] },
  { kind: 'LINE', layer: 'FRONDS', colour: [[62, 5]], handle: false, at: [60, 60] },
  { kind: 'CIRCLE', layer: 'RIM', colour: [[62, 7]], handle: true, at: [90, 90] },
  {
    kind: 'LINE',
    layer: 'Blätter',
    colour: [
      [62, 7],
      [420, 0xc83737],
    ],
    handle: false,
    at: [70, 20],
  },
];

describe('A drawing with marks added', () => {
  const roles = [
    '{marks: PEGS, openings: [FRONDS, "not stroke:blue"], outline: RIM}',
    '{marks: [PEGS, "not stroke:#c83737"], openings: [entity-31, line-3], outline: entity-33}',
    '{marks: circle-1, openings: FRONDS, outline: RIM}',
    '{marks: [PEGS], openings: [FRONDS, Blätter], outline: [RIM, "not line-3"]}',
    '{marks: PEGS}',
  ];

  it('keeps every shape of a DXF with its id, layer, colour and role, and adds the marks as marks', () => {
    fc.assert(
      fc.property(
        fc.array(arbitraryEntity, { maxLength: 25 }),
        fc.constantFrom(...roles),
        fc.constantFrom('AC1009', 'AC1015', 'AC1021'),
        fc.constantFrom('text', 'crlf', 'binary', 'short'),
        fc.constantFrom(1, 4),
        (more, job, version, form, insunits) => {
          const entities = [...certain, ...more].map(entityTags);
          const tags = dxfTags({
            version,
            insunits,
            entities,
            header: [
              [9, '$HANDSEED'],
              [5, 'FF'],
            ],
          });
          const bytes =
            form === 'text'
              ? bytesOf(textOf(tags))
              : form === 'crlf'
                ? bytesOf(textOf(tags, '\r\n'))
                : binaryOf(tags, form === 'short');
          const { drawing, assignment, back, again, anew } = marked(bytes, 'd.dxf', job, 'dxf');
          expect(anew).toBe(false);
          const count = drawing.shapes.length;
          expect(back.shapes).toHaveLength(count + marks.length);
          const withLine = form === 'text' || form === 'crlf';
          expect(back.shapes.slice(0, count).map((shape) => said(shape, withLine))).toEqual(
            drawing.shapes.map((shape) => said(shape, withLine)),
          );
          for (const { id } of drawing.shapes) expect(again.roles.get(id)).toBe(assignment.roles.get(id));
          back.shapes.slice(count).forEach((shape, i) => {
            expect(again.roles.get(shape.id)).toBe('mark');
            const { x, y } = boxCentre(shapeBox(shape));
            expect(x).toBeCloseTo(marks[i]!.at.x, 6);
            expect(y).toBeCloseTo(marks[i]!.at.y, 6);
            expect(shape.paths[0]!.segments[0]).toMatchObject({ kind: 'arc', radius: expect.closeTo(1, 6) });
          });
        },
      ),
      { seed: 20261125, numRuns: 150 },
    );
  });

  it('gives new circles the next free handles, the owner of the others, and moves the seed', () => {
    const entities: Tag[][] = [
      [
        [0, 'CIRCLE'],
        [5, '2A'],
        [102, '{ACAD_REACTORS'],
        [330, '99'],
        [102, '}'],
        [330, '1F'],
        [100, 'AcDbEntity'],
        [8, 'marks'],
        [100, 'AcDbCircle'],
        ...circleTags(1, 1, 1),
      ],
    ];
    const bytes = bytesOf(
      textOf(
        dxfTags({
          entities,
          header: [
            [9, '$HANDSEED'],
            [5, '40'],
          ],
        }),
      ),
    );
    const text = new TextDecoder().decode(marked(bytes, 'd.dxf', '{marks: marks}', 'dxf').written);
    const plain = text.replace(/^ +/gm, '');
    expect(plain).toContain('$HANDSEED\n5\n42\n');
    expect(plain).toContain(
      '0\nCIRCLE\n5\n40\n330\n1F\n100\nAcDbEntity\n8\nmarks\n62\n7\n100\nAcDbCircle\n10\n12.5\n20\n3\n',
    );
    expect(plain).toContain('0\nCIRCLE\n5\n41\n330\n1F\n');
  });

  it.each([
    ['frozen', [70, 1], [62, 7], 'Thaw it'],
    ['off', [70, 0], [62, -7], 'Switch it on'],
  ] as const)('refuses to add marks to a layer of a DXF that is %s', (why, flags, colour, cure) => {
    const layer = (name: string, ...tags: Tag[]): Tag[] => [[0, 'LAYER'], [2, name], ...tags];
    const entities = certain.map(entityTags);
    const file = (name: string): Tag[] =>
      dxfTags({ layers: [layer(name, flags, colour), layer('PEGS', [70, 0], [62, 7])], entities });
    const roles = '{openings: FRONDS, outline: RIM}';
    // Names of layers are the same in capitals.
    for (const bytes of [bytesOf(textOf(file('Marks'))), binaryOf(file('MARKS'))]) {
      const fault = messageOf(() => marked(bytes, 'd.dxf', roles, 'dxf'));
      expect(fault).toContain(`the layer "marks" for the new marks, which is ${why} in the drawing`);
      expect(fault).toContain(`${cure} in your drawing program`);
      // The other way that it names.
      expect(marked(bytes, 'd.dxf', roles, 'svg').back.shapes.at(-1)!.layers).toEqual(['marks']);
    }
    const other = marked(bytesOf(textOf(file('notes'))), 'd.dxf', roles, 'dxf');
    expect(other.back.shapes.at(-1)!.layers).toEqual(['marks']);
  });

  it('paints the marks so that no colour the job names reaches them, and in the colour it looks for marks by', () => {
    const parts: DxfParts = { entities: certain.map(entityTags) };
    const bytes = bytesOf(textOf(dxfTags(parts)));
    const stroke = (roles: string) => {
      const { back, again } = marked(bytes, 'd.dxf', roles, 'dxf');
      const last = back.shapes.at(-1)!;
      expect(again.roles.get(last.id)).toBe('mark');
      return strokeOf(last);
    };
    expect(stroke('{marks: PEGS, openings: "stroke:red", outline: "stroke:black"}')).toBe('#ff00ff');
    expect(stroke('{marks: "stroke:#00ff00", openings: "stroke:red", outline: RIM}')).toBe('#00ff00');
  });

  it('leaves an SVG as it is but for a group, with colours and ids', () => {
    const svg = `<svg xmlns="http://www.w3.org/2000/svg" width="100mm" height="100mm" viewBox="0 0 200 200">
  <style>.leaf {stroke: #c83737}</style>
  <g id="fronds"><circle class="leaf" cx="50" cy="60" r="20"/><path id="tip" stroke="blue" d="M90 90L120 90L100 120Z"/></g>
  <rect id="rim" stroke="black" width="200" height="200"/>
</svg>`;
    const roles = '{marks: pegs, openings: [fronds, "not stroke:blue"], outline: "stroke:black"}';
    const without = svg.replace('</svg>', '<g id="pegs"><circle id="P" cx="5" cy="5" r="1"/></g></svg>');
    const { drawing, assignment, back, again } = marked(bytesOf(without), 'd.svg', roles, 'svg');
    const count = drawing.shapes.length;
    expect(back.shapes.slice(0, count).map((shape) => said(shape, true))).toEqual(
      drawing.shapes.map((shape) => said(shape, true)),
    );
    for (const { id } of drawing.shapes) expect(again.roles.get(id)).toBe(assignment.roles.get(id));
    expect(back.shapes.slice(count).map(({ id }) => [id, again.roles.get(id)])).toEqual([
      ['A', 'mark'],
      ['B', 'mark'],
    ]);
  });

  it('adds a group of its own beside a hidden one of that name', () => {
    const svg = `<svg xmlns="http://www.w3.org/2000/svg" width="100mm" height="100mm" viewBox="0 0 100 100">
  <style>#marks {display: none}</style>
  <g id="marks"><circle cx="5" cy="5" r="1"/></g><circle cx="50" cy="60" r="20"/>
</svg>`;
    const { back, again, written } = marked(bytesOf(svg), 'd.svg', '{}', 'svg');
    expect(new TextDecoder().decode(written).match(/id="marks"/g)).toHaveLength(1);
    expect(back.shapes.map(({ id }) => again.roles.get(id))).toEqual(['opening', 'mark', 'mark']);
  });

  it('written anew as SVG, keeps ids, colours and roles of a DXF', () => {
    const bytes = bytesOf(textOf(dxfTags({ entities: certain.map(entityTags) })));
    const { drawing, assignment, back, again, anew } = marked(bytes, 'd.dxf', roles[0]!, 'svg', ['circle-1']);
    expect(anew).toBe(true);
    for (const { id, stroke } of drawing.shapes) {
      expect(again.roles.get(id)).toBe(assignment.roles.get(id));
      expect(back.shapes.find((shape) => shape.id === id)!.stroke).toBe(stroke);
    }
  });

  it('written anew as DXF, keeps layers, colours and circles of an SVG, and refuses to lose a name or role of the job', () => {
    const bytes =
      bytesOf(`<svg xmlns="http://www.w3.org/2000/svg" width="200mm" height="200mm" viewBox="0 0 200 200">
  <g id="marks" stroke="#123456"><circle id="P" cx="5" cy="5" r="1"/><circle id="Q" cx="50" cy="5" r="1"/></g>
  <g id="all" stroke="red"><g id="fronds"><circle cx="50" cy="60" r="20"/></g></g>
  <rect id="rim" stroke="black" width="200" height="200"/>
</svg>`);
    const by = '{openings: fronds, outline: rim}';
    const { back } = marked(bytes, 'd.svg', by, 'dxf');
    expect(back.shapes.map(({ layers: [layer], stroke, element }) => [layer, stroke, element])).toEqual([
      ['fronds', '#ff0000', 'circle'],
      ['rim', '#000000', 'lwpolyline'],
      ...['', '', '', ''].map((_, i) => ['marks', i < 2 ? '#123456' : '#000000', 'circle']),
    ]);
    expect(() => marked(bytes, 'd.svg', by, 'dxf', ['P'])).toThrow(/shape P, named in the job/);
    expect(() => marked(bytes, 'd.svg', '{openings: all, outline: rim}', 'dxf')).toThrow(/roles are lost/);
  });
});

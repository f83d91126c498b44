import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { markCentre } from '../../src/drawing/mark-sites/centre.js';
import { centreNamed, countMarks, type DrawnMark, marksIn } from '../../src/drawing/mark-sites/marks-in.js';
import { assignRoles } from '../../src/drawing/roles/roles.js';
import { defaultRoles } from '../../src/job/job.js';
import { expectPoint, inputErrorOf, onlyShape, page, readBody, readText } from './svg-text.js';

const centre = (body: string): [number, number] => {
  const { x, y } = markCentre(onlyShape(body));
  return [x, 100 - y];
};

const expectCentre = (body: string, x: number, y: number): void => {
  const [foundX, foundY] = centre(body);
  expect(foundX).toBeCloseTo(x, 9);
  expect(foundY).toBeCloseTo(y, 9);
};

const marksOf = (layer: string): DrawnMark[] => {
  const drawing = readText(page(`<g id="marks">${layer}</g>`));
  return marksIn(drawing, assignRoles(drawing, defaultRoles));
};

const placed = (layer: string) => marksOf(layer).map(({ name, centre: c }) => [name, c.x, 100 - c.y]);

describe('the centre of a mark', () => {
  it('of a circle or ellipse is its centre', () => {
    expectCentre('<circle cx="30" cy="20" r="3"/>', 30, 20);
    expectCentre('<ellipse cx="30" cy="20" rx="3" ry="1" transform="rotate(40 30 20)"/>', 30, 20);
    expectCentre('<path d="M 27 20 a 3 3 0 0 1 6 0 a 3 3 0 0 1 -6 0"/>', 30, 20);
    expectCentre(
      '<path d="M 27 20 a 3 3 0 0 1 6 0 a 3 3 0 0 1 -6 0 M 29 20 a 1 1 0 0 1 2 0 a 1 1 0 0 1 -2 0"/>',
      30,
      20,
    );
  });

  it('of a cross is where its lines meet, however uneven its arms', () => {
    expectCentre('<path d="M 10 20 h 30 M 15 5 v 40"/>', 15, 20);
    expectCentre('<path d="M 10 10 L 20 20 M 10 20 L 30 0"/>', 15, 15);
    expectCentre('<path d="M 10 10 L 20 20 M 10 20 L 30 0" transform="rotate(10 15 15) skewX(0)"/>', 15, 15);
  });

  it('of a cross drawn in one go, in four arms, and with a gap in the middle', () => {
    expectCentre('<path d="M 10 20 H 40 H 15 V 5 V 45"/>', 15, 20);
    expectCentre('<path d="M 15 20 h 5 M 15 20 h -9 M 15 20 v 5 M 15 20 v -5"/>', 15, 20);
    expectCentre('<path d="M 16 20 h 5 M 14 20 h -9 M 15 21 v 5 M 15 19 v -5"/>', 15, 20);
  });

  it('of an angle of two lines is its corner', () => {
    expectCentre('<polyline points="10,30 10,10 50,10"/>', 10, 10);
  });

  it('of anything else is the middle of its box', () => {
    expectCentre('<rect x="10" y="20" width="8" height="4"/>', 14, 22);
    expectCentre('<path d="M 10 20 h 8 M 40 30 v 4"/>', 25, 27);
    expectCentre('<path d="M 10 20 h 8 M 10 21 h 8"/>', 14, 20.5);
    expectCentre('<path d="M 10 20 h 8"/>', 14, 20);
    expectCentre('<path d="M 10 20 C 10 40 30 40 30 20 z"/>', 20, 27.5);
    expectCentre('<path d="M 10 20 a 5 5 0 0 1 10 0"/>', 15, 17.5);
  });

  it('moves with the mark, for every kind', () => {
    const bodies = [
      '<circle cx="3" cy="2" r="3"/>',
      '<path d="M 0 0 h 3 M 1 -5 v 9"/>',
      '<polyline points="1,3 1,1 5,1"/>',
      '<rect width="8" height="4"/>',
    ];
    fc.assert(
      fc.property(
        fc.constantFrom(...bodies),
        fc.integer({ min: -50, max: 50 }),
        fc.integer({ min: 0, max: 3 }),
        (body, x, turns) => {
          const move = `translate(${x} ${-2 * x}) rotate(${90 * turns})`;
          const [fromX, fromY] = centre(body);
          const angle = (turns * Math.PI) / 2;
          const [c, s] = [Math.cos(angle), Math.sin(angle)];
          expectCentre(
            `<g transform="${move}">${body}</g>`,
            x + c * fromX - s * fromY,
            -2 * x + s * fromX + c * fromY,
          );
        },
      ),
      { seed: 20261125, numRuns: 60 },
    );
  });
});

describe('the marks of a drawing', () => {
  it('are the shapes of the layer, each by its id', () => {
    expect(
      placed(
        '<circle id="A" cx="5" cy="6" r="1"/><g><path id="B" d="M 10 20 h 4 M 12 18 v 4"/></g><rect width="2" height="4"/>',
      ),
    ).toEqual([
      ['A', 5, 6],
      ['B', 12, 20],
      ['rect-3', 1, 2],
    ]);
  });

  it('have their labels as other names', () => {
    const [mark] = marksOf('<circle id="c17" label="A" r="1"/>');
    expect(mark).toMatchObject({ name: 'c17', otherNames: ['A'] });
  });

  it('may be groups: two lines that cross, a circle with a cross', () => {
    const cross = (x: number, y: number): string =>
      `<line x1="${x - 3}" y1="${y}" x2="${x + 5}" y2="${y}"/><line x1="${x}" y1="${y - 3}" x2="${x}" y2="${y + 3}"/>`;
    expect(
      placed(
        `<g id="A">${cross(10, 20)}</g><g id="B" label="hole">${cross(30, 40)}<circle cx="30.009" cy="40" r="2"/></g>`,
      ),
    ).toEqual([
      ['A', 10, 20],
      ['B', 30.009, 40],
    ]);
    expect(placed(`<g id="A"><g>${cross(10, 20)}</g><rect x="5" y="15" width="7" height="9"/></g>`)).toEqual([
      ['A', 10, 20],
    ]);
  });

  it('that are groups of other things have the middle of the box', () => {
    expect(
      placed(
        '<g id="A"><rect x="1" y="1" width="2" height="2"/><rect x="5" y="1" width="4" height="6"/></g>',
      ),
    ).toEqual([['A', 5, 4]]);
  });

  it('must agree in their parts within a hundredth of a millimetre', () => {
    const body = '<g id="A"><circle cx="30" cy="40" r="2"/><path d="M 28 40.02 h 4 M 30 38 v 4"/></g>';
    const error = inputErrorOf(() => marksOf(body));
    expect(error.message).toBe(
      'a mark A whose parts have their centres at (30.000, 60.000) and (30.000, 59.980) mm; expected centres within 0.01 mm of each other',
    );
    expect(error.where).toEqual({ file: 'fern.svg', line: 1, element: 'A' });
  });

  it('are told apart in a group that holds several of them', () => {
    const group =
      '<g id="corners"><circle id="A" cx="5" cy="5" r="1"/><circle id="B" cx="95" cy="5" r="1"/></g>';
    expect(placed(group)).toEqual([
      ['A', 5, 5],
      ['B', 95, 5],
    ]);
  });

  it('may be instances of one symbol, named by the use', () => {
    const peg = '<symbol id="peg"><circle cx="2" cy="2" r="2"/><path d="M 0 2 h 4 M 2 0 v 4"/></symbol>';
    const drawing = readText(
      page(`${peg}<g id="marks"><use id="A" href="#peg" x="10"/><use id="B" href="#peg" x="50" y="5"/></g>`),
    );
    const marks = marksIn(drawing, assignRoles(drawing, defaultRoles));
    expect(marks.map(({ name, otherNames, centre: c }) => [name, otherNames, c.x, 100 - c.y])).toEqual([
      ['A', [], 12, 2],
      ['B', [], 52, 7],
    ]);
  });

  it('have unique names, and other names that mean one mark only', () => {
    const marks = marksOf(
      '<g id="m"><circle r="1"/></g><g id="m"><circle cx="9" r="1" label="x"/></g><circle id="c" cx="20" r="1" label="x"/>',
    );
    expect(marks.map(({ name, otherNames }) => [name, otherNames])).toEqual([
      ['m', ['circle-1']],
      ['circle-2', []],
      ['c', []],
    ]);
  });

  it('are crosses of two lines that nothing groups, as DXF has them, by the name of either line', () => {
    const lines = `<line id="h" x1="10" y1="20" x2="40" y2="20"/><line id="v" x1="15" y1="5" x2="15" y2="45"/>
      <circle id="rim" cx="15" cy="20" r="3"/><circle id="far" cx="70" cy="70" r="3"/>
      <line id="p" x1="80" y1="10" x2="90" y2="20"/><line id="q" x1="80" y1="20" x2="90" y2="10"/>`;
    expect(placed(lines)).toEqual([
      ['h', 15, 20],
      ['far', 70, 70],
      ['p', 85, 15],
    ]);
    expect(marksOf(lines)[0]!.otherNames).toEqual(['v', 'rim']);
  });

  it('are single lines where a line meets more than one other', () => {
    const lines = '<path id="a" d="M10 20h30"/><path id="b" d="M15 5v40"/><path id="c" d="M25 5v40"/>';
    expect(placed(lines).map(([name]) => name)).toEqual(['a', 'b', 'c']);
  });

  it('are counted as marks, however many shapes each is drawn in', () => {
    const counted = (layer: string): number => {
      const drawing = readText(page(`<g id="marks">${layer}</g>`));
      return countMarks(assignRoles(drawing, defaultRoles));
    };
    const cross = (x: number): string => `<path d="M${x} 20h10"/><path d="M${x + 4} 15v10"/>`;
    expect(counted(`${cross(10)}${cross(30)}<g id="C">${cross(50)}<circle cx="54" cy="20" r="2"/></g>`)).toBe(
      3,
    );
    expect(counted('<g id="D"><circle cx="9" cy="9" r="2"/><circle cx="20" cy="9" r="2"/></g>')).toBe(2);
    // Parts that disagree, which a job refuses, are one mark that is drawn wrong.
    expect(counted('<g id="E"><circle cx="9" cy="9" r="5"/><circle cx="9.5" cy="9" r="2"/></g>')).toBe(1);
  });

  it('selected by their own names are marks each', () => {
    const drawing = readText(
      page('<g id="pegs"><circle id="A" cx="5" cy="5" r="1"/><circle cx="9" cy="9" r="1"/></g>'),
    );
    const roles = {
      ...defaultRoles,
      marks: [{ text: 'A' }],
      stated: { ...defaultRoles.stated, marks: true },
    };
    expect(marksIn(drawing, assignRoles(drawing, roles)).map(({ name }) => name)).toEqual(['A']);
  });
});

describe('the centre by name', () => {
  const drawing = readBody(
    '<g id="peg"><path d="M 0 5 h 4"/><path d="M 2 0 v 9"/></g><circle id="h" label="hole" cx="7" cy="8" r="1"/>',
  );

  it('finds shapes by id and label, and groups that are one mark', () => {
    expectPoint(centreNamed(drawing, 'h')!, 7, 92);
    expectPoint(centreNamed(drawing, 'hole')!, 7, 92);
    expectPoint(centreNamed(drawing, 'peg')!, 2, 95);
    expect(centreNamed(drawing, 'nothing')).toBeUndefined();
  });
});

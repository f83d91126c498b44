import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { parse } from 'yaml';
import { assignRoles, type RoleAssignment } from '../../src/drawing/roles/roles.js';
import { defaultRoles, type Roles } from '../../src/job/job.js';
import { inputErrorOf, page, readBody, readText } from './svg-text.js';

type Stated = Partial<Record<'marks' | 'openings' | 'outline', string | readonly string[]>>;

const assign = (body: string, stated: Stated = {}): RoleAssignment => {
  const entries = (role: keyof Stated) =>
    stated[role] === undefined ? defaultRoles[role] : [stated[role]].flat().map((text) => ({ text }));
  const roles: Roles = {
    marks: entries('marks'),
    openings: entries('openings'),
    outline: entries('outline'),
    stated: { marks: 'marks' in stated, openings: 'openings' in stated, outline: 'outline' in stated },
  };
  return assignRoles(readText(page(body)), roles);
};

/** The selectors of a line as `list` prints it. */
const statedBy = (line: string): Stated => parse(line).roles;

const ids = (shapes: readonly { readonly id: string }[]): string[] => shapes.map(({ id }) => id);
const said = ({ warnings }: RoleAssignment): string =>
  warnings.map(({ code, message }) => `${code}: ${message}`).join('\n');

const outline = '<rect id="edge" x="1" y="1" width="98" height="98"/>';
const holes = '<circle id="h1" cx="20" cy="20" r="5"/><circle id="h2" cx="40" cy="40" r="5"/>';
const marks = '<g id="marks"><circle id="A" cx="5" cy="5" r="1"/><circle id="B" cx="95" cy="5" r="1"/></g>';

describe('roles by the colour of the area', () => {
  const body =
    '<g fill="#C83737"><circle id="h1" cx="20" cy="20" r="5"/></g><circle id="h2" cx="40" cy="40" r="5" style="fill:rgb(200,55,55)"/>' +
    '<circle id="h3" cx="60" cy="60" r="5"/><circle id="h4" cx="80" cy="80" r="5" fill="none" stroke="blue"/>';

  it('take what is filled so; nothing stated is black, and what is transparent is none', () => {
    expect(ids(assign(body, { openings: 'fill:#c83737' }).openings)).toEqual(['h1', 'h2']);
    expect(ids(assign(body, { openings: ['fill: rgb(200 55 55)', 'not h1'] }).openings)).toEqual(['h2']);
    expect(ids(assign(body, { openings: 'fill:black' }).openings)).toEqual(['h3']);
    expect(ids(assign(body, { openings: 'fill:none' }).openings)).toEqual(['h4']);
    const unseen = body.replace('fill="#C83737"', 'fill="#C83737" fill-opacity="0"');
    expect(ids(assign(unseen, { openings: 'fill:none' }).openings)).toEqual(['h1', 'h4']);
  });

  it('are refused like strokes where nothing is filled so, or the colour is none', () => {
    expect(inputErrorOf(() => assign(body, { openings: 'fill:lime' })).message).toContain(
      'fill:lime, a fill that no shape of the drawing has; expected one of fill:#c83737, fill:#000000, fill:none',
    );
    expect(inputErrorOf(() => assign(body, { openings: 'fill:bleu' })).next).toBe('Did you mean fill:blue?');
  });
});

describe('names with escapes', () => {
  const one = (id: string): string => `<circle id="${id}" cx="20" cy="20" r="5"/>${outline}`;

  it.each([
    ['leaf_x20_7', 'leaf 7'],
    ['leaf_x0020_7', 'leaf 7'],
    ['leaf%207', 'leaf 7'],
    ['bl%C3%A4tt', 'blätt'],
    ['_x31_2', '12'],
    ['leaf&amp;stem', 'leaf&stem'],
    ['leaf&#32;7', 'leaf 7'],
    ['leaf 7', 'leaf\\ 7'],
    ['a%zz', 'a%zz'],
  ])('%s is found as %s', (id, name) => {
    expect(assign(one(id), { openings: name }).openings).toHaveLength(1);
  });

  it('an exact name comes first, and two that come to the same are not taken one for the other', () => {
    const two = '<circle id="a_x20_b" cx="20" cy="20" r="5"/><circle id="a%20b" cx="40" cy="20" r="5"/>';
    expect(ids(assign(two, { openings: 'a%20b' }).openings)).toEqual(['a%20b']);
    expect(inputErrorOf(() => assign(two, { openings: 'a b' })).message).toContain(
      'neither a shape nor a layer',
    );
  });
});

describe('roles by name', () => {
  it('come from the layers marks, openings and outline, without a warning', () => {
    const found = assign(
      `${marks}<g id="openings">${holes}</g><g id="outline">${outline}</g><path id="p" d="M0 0h1"/>`,
    );
    expect(ids(found.marks)).toEqual(['A', 'B']);
    expect(ids(found.openings)).toEqual(['h1', 'h2']);
    expect(ids(found.outline)).toEqual(['edge']);
    expect(found.roles.get('p')).toBe('unused');
    expect(found.warnings).toEqual([]);
  });

  it('come from labels, from outer groups and from the id or label of the shape itself', () => {
    const body = `<g id="g1" label="leaves"><g id="g2">${holes}</g></g><rect id="edge" width="90" height="90"/>
      <circle data-name="peg" r="1"/>`;
    const found = assign(body, { openings: 'leaves', outline: 'edge', marks: 'peg' });
    expect(ids(found.openings)).toEqual(['h1', 'h2']);
    expect(ids(found.outline)).toEqual(['edge']);
    expect(ids(found.marks)).toEqual(['circle-4']);
    expect(found.warnings).toEqual([]);
  });

  it('capitals do not matter where the drawing has no name with the same ones', () => {
    const upper = `<g id="OPENINGS">${holes}</g><g id="Outline">${outline}</g>`;
    const found = assign(upper, { outline: 'OUTLINE' });
    expect(ids(found.openings)).toEqual(['h1', 'h2']);
    expect(ids(found.outline)).toEqual(['edge']);
    expect(found.warnings).toEqual([]);
    const both = `<g id="OPENINGS">${outline}</g><g id="openings">${holes}</g>`;
    expect(ids(assign(both, { openings: 'openings' }).openings)).toEqual(['h1', 'h2']);
    const unclear = `<g id="OPENINGS">${outline}</g><g id="Openings">${holes}</g>`;
    expect(() => assign(unclear, { openings: 'openings' })).toThrow('neither a shape nor a layer');
  });

  it('the nearest name counts: the own before the group, the inner group before the outer', () => {
    const body = `<g id="openings">${holes}<g id="outline">${outline}</g><circle id="A" cx="9" cy="9" r="1"/></g>`;
    const found = assign(body, { marks: 'A' });
    expect(ids(found.openings)).toEqual(['h1', 'h2']);
    expect(ids(found.outline)).toEqual(['edge']);
    expect(ids(found.marks)).toEqual(['A']);
  });

  it('two roles that reach a shape from the same distance are refused', () => {
    const error = inputErrorOf(() =>
      assign(`<g id="a" label="b">${holes}</g><g id="b">${outline}</g>`, { marks: 'a', outline: 'b' }),
    );
    expect(error.message).toBe(
      'h1 and 1 more, which both marks (a) and outline (b) select; expected one role for each shape',
    );
    expect(error.where).toEqual({ file: 'fern.svg', line: 1, element: 'h1' });
    expect(error.next).toBe('Leave it out of one of them, as in "marks: [a, not b]".');
    const cured = assign(`<g id="a" label="b">${holes}</g><g id="b">${outline}</g>`, {
      marks: 'a',
      outline: ['b', 'not a'],
    });
    expect(ids(cured.marks)).toEqual(['h1', 'h2']);
    expect(ids(cured.outline)).toEqual(['edge']);
  });

  it('a name that two roles say alike is to stand in one of them', () => {
    const drawn = `<g id="a">${holes}</g><g id="b">${outline}</g>`;
    const error = inputErrorOf(() => assign(drawn, { openings: ['a', 'b'], outline: 'b' }));
    expect(error.message).toBe(
      'edge, which both outline (b) and openings (b) select; expected one role for each shape',
    );
    expect(error.next).toBe('Name it in one of them only, as in "openings: a".');
    expect(ids(assign(drawn, { openings: 'a', outline: 'b' }).outline)).toEqual(['edge']);
    const only = inputErrorOf(() => assign(drawn, { openings: 'b', outline: 'b' }));
    expect(only.next).toBe('Name it in one of them only.');
  });

  it('what CAD programs call green is said to be lime', () => {
    const drawn = '<g id="a" stroke="#00ff00"><circle r="3"/></g>';
    const error = inputErrorOf(() => assign(drawn, { openings: 'stroke:green' }));
    expect(error.next).toBe('Write stroke:lime: the green of CAD programs is #00ff00, which CSS calls lime.');
    expect(assign(drawn, { openings: 'stroke:lime' }).openings).toHaveLength(1);
  });

  it('openings that are open in some part are named', () => {
    const body =
      '<g id="openings"><path id="p" d="M0 0h1v1"/><path id="q" d="M0 0h1v1z M5 5h1"/><rect id="r" width="1" height="1"/></g>';
    expect(ids(assign(body).openOpenings)).toEqual(['p', 'q']);
  });

  it('a stated name that selects nothing is refused with the names there are', () => {
    const error = inputErrorOf(() => assign(`<g id="opening">${holes}</g>`, { openings: 'openings' }));
    expect(error.message).toBe(
      'roles: openings: openings, which is neither a shape nor a layer of the drawing; expected one of opening, h1, h2',
    );
    expect(error.next).toBe('Did you mean opening?');
    expect(error.where).toEqual({ file: 'fern.svg', element: 'openings' });
    const far = inputErrorOf(() => assign(holes, { marks: 'pegs' }));
    expect(far.next).toBe('Correct the name; `reseat list` shows every shape with its layer.');
    const many = Array.from({ length: 20 }, (_, i) => `<circle id="c${i}" r="1"/>`).join('');
    expect(inputErrorOf(() => assign(many, { marks: 'pegs' })).message).toMatch(
      'one of c0, c1, c2, c3, c4, c5, c6, c7 and 12 more',
    );
    expect(inputErrorOf(() => assign('<circle r="1"/>', { marks: 'pegs' })).message).toMatch(
      'a drawing with named shapes or layers',
    );
  });

  it('a stated name whose shapes all have a nearer role is refused', () => {
    const error = inputErrorOf(() => assign(`<g id="all">${marks}</g>`, { openings: 'all' }));
    expect(error.message).toBe(
      'roles: openings: all, whose shapes all have another role by a nearer name or are left out by "not"; expected at least one shape left for openings',
    );
  });
});

describe('roles that had to be assumed', () => {
  it('the path that encloses all others is the outline, and the closed paths inside are openings', () => {
    const found = assign(`<g id="leaves">${outline}${holes}</g>${marks}<path id="fold" d="M0 0h9"/>`);
    expect(ids(found.outline)).toEqual(['edge']);
    expect(ids(found.openings)).toEqual(['h1', 'h2']);
    expect(ids(found.marks)).toEqual(['A', 'B']);
    expect(said(found)).toBe(
      'roles-assumed: The drawing has no layer or shape called "openings" or "outline". ' +
        'Assumed: edge, which encloses every other closed path, is the outline, and the 2 closed paths inside it are openings. ' +
        'Unused: 1 shape (fold). To state it, write into the job: roles: {openings: leaves, outline: edge}.',
    );
  });

  it('names that come near to the default ones are pointed out', () => {
    const found = assign(`<g id="Opening">${holes}</g><g id="Mark"><circle id="A" cx="9" cy="9" r="1"/></g>`);
    expect(said(found)).toMatch(
      'called "openings" or "outline". It has "Opening": name it under roles if that is meant. Assumed: all 2 closed paths are openings',
    );
  });

  it('the line to paste does what was assumed, without a warning', () => {
    const body = `<g id="leaves of fern">${outline}${holes}</g>${marks}`;
    expect(said(assign(body))).toMatch('roles: {openings: "leaves of fern", outline: edge}.');
    const stated = assign(body, { openings: 'leaves of fern', outline: 'edge' });
    expect(stated.roles).toEqual(assign(body).roles);
    expect(stated.warnings).toEqual([]);
  });

  it('without an enclosing path all closed paths are openings, and there is no outline', () => {
    const found = assign(`${holes}${marks}`);
    expect(ids(found.openings)).toEqual(['h1', 'h2']);
    expect(found.outline).toEqual([]);
    expect(said(found)).toBe(
      'roles-assumed: The drawing has no layer or shape called "openings" or "outline". Assumed: all 2 closed paths are ' +
        'openings, and there is no outline, as no path encloses all others. ' +
        'To state it, write into the job: roles: {openings: [h1, h2]}.',
    );
    const one = assign(`<circle id="h" r="3" cx="50" cy="50"/>${marks}`);
    expect(said(one)).toMatch(
      'Assumed: the only closed path is an opening, and there is no outline. To state it, write into the job: roles: {openings: h}.',
    );
  });

  it('marks do not count: one outside the panel hides no outline', () => {
    expect(
      ids(assign(`${marks}<rect id="edge" x="10" y="10" width="80" height="80"/>${holes}`).outline),
    ).toEqual(['edge']);
  });

  it('with openings named, the path that encloses them is the outline', () => {
    const found = assign(`<g id="openings">${holes}</g>${outline}<circle id="far" cx="99" cy="99" r="5"/>`);
    expect(ids(found.outline)).toEqual(['edge']);
    expect(found.roles.get('far')).toBe('unused');
    expect(said(found)).toMatch(
      'no layer or shape called "outline". Assumed: edge, which encloses every opening, is the outline. Unused: 1 shape (far).',
    );
    const none = assign(`<g id="openings">${holes}</g>`);
    expect(none.outline).toEqual([]);
    expect(none.warnings).toEqual([]);
  });

  it('with the outline named, the closed paths inside it are openings and those outside are not', () => {
    const body = `<g id="outline"><rect id="edge" x="10" y="10" width="50" height="50"/></g>${holes}<circle id="far" cx="90" cy="90" r="5"/>`;
    const found = assign(body);
    expect(ids(found.openings)).toEqual(['h1', 'h2']);
    expect(found.roles.get('far')).toBe('unused');
    expect(said(found)).toMatch(
      'Assumed: the 2 closed paths inside the outline are openings. Unused: 1 shape (far).',
    );
  });

  it('an outline drawn twice is one outline', () => {
    const twice = `${outline}<path id="again" d="M1 1V99H99V1Z"/>${holes}`;
    const found = assign(twice);
    expect(ids(found.outline)).toEqual(['edge', 'again']);
    expect(ids(found.openings)).toEqual(['h1', 'h2']);
  });

  it('a panel drawn as one path is taken apart into its outline and its openings', () => {
    const panel = `<path id="panel" d="M1 1H99V99H1Z M10 10V30H30V10Z M15 15h5v5h-5z M50 50v20h20v-20z M80 80h5"/>${marks}`;
    const found = assign(panel);
    expect(ids(found.shapes)).toEqual(['panel', 'panel.1', 'panel.2', 'panel.open', 'A', 'B']);
    expect(ids(found.outline)).toEqual(['panel']);
    expect(found.outline[0]!.paths).toHaveLength(1);
    expect(ids(found.openings)).toEqual(['panel.1', 'panel.2']);
    // The island belongs to the opening around it.
    expect(found.openings.map(({ paths }) => paths.length)).toEqual([2, 1]);
    expect(found.roles.get('panel.open')).toBe('unused');
    // The island may be the opening of a panel in a frame just as well.
    expect(said(found)).toBe(
      'roles-uncertain: No layer or shape is called "openings" or "outline", and it is not certain what is which: panel has ' +
        'closed parts in one another, three deep. Write `roles: {outline: panel}` if panel is the outline, and 2 closed ' +
        'paths in it or over the edge are openings, with panel.open unused. Otherwise, put the openings and the outline into ' +
        'groups of their own and name these under roles.',
    );
    const stated = assign(panel, { outline: 'panel' });
    expect(ids(stated.openings)).toEqual(['panel.1', 'panel.2']);
  });

  it('a panel in one path beside loose openings is taken apart as well', () => {
    const found = assign(`<path id="panel" d="M1 1H99V99H1Z M60 60V70H70V60Z"/>${holes}`);
    expect(ids(found.openings)).toEqual(['panel.1', 'h1', 'h2']);
    expect(ids(found.outline)).toEqual(['panel']);
  });

  it('the names of the parts are free names', () => {
    const found = assign(
      `<path id="panel" d="M1 1H99V99H1Z M60 60V70H70V60Z"/><circle id="panel.1" cx="20" cy="20" r="5"/>`,
    );
    expect(ids(found.openings)).toEqual(['panel.1-', 'panel.1']);
    expect(new Set(ids(found.shapes)).size).toBe(found.shapes.length);
  });

  it('a drawing without closed paths has no openings, and that is said', () => {
    const found = assign('<path id="p" d="M0 0h1"/>');
    expect(found.openings).toEqual([]);
    expect(said(found)).toBe(
      'roles-assumed: The drawing has no layer or shape called "openings" or "outline". Assumed: nothing, as there is no ' +
        'closed path beside the marks; there are no openings. Unused: 1 shape (p).',
    );
  });

  it('curved outlines are judged by their curve, not by their corners', () => {
    // Beside the leaf, though inside its control polygon and its box.
    const leaf = '<path id="leaf" d="M 10 50 C 40 0 60 0 90 50 C 60 100 40 100 10 50 Z"/>';
    expect(ids(assign(`${leaf}<circle id="h" cx="50" cy="50" r="5"/>`).outline)).toEqual(['leaf']);
    const beside = '<circle id="h" cx="50" cy="8" r="1"/><circle id="i" cx="14" cy="35" r="1"/>';
    expect(assign(leaf + beside)).toMatchObject({ doubt: undefined, outline: [] });
  });
});

describe('roles by the colour of the stroke', () => {
  const red =
    '<circle id="h1" cx="20" cy="20" r="5" stroke="#C83737"/><path id="h2" d="M30 30h5v5z" style="stroke:rgb(200,55,55)"/>';
  const blue = '<rect id="edge" x="1" y="1" width="98" height="98" stroke="blue"/>';

  it('compare colours, not how they are written', () => {
    const found = assign(`${red}${blue}${holes.replaceAll('h1', 'h3').replaceAll('h2', 'h4')}`, {
      openings: 'stroke:#c83737',
      outline: 'stroke:#00F',
    });
    expect(ids(found.openings)).toEqual(['h1', 'h2']);
    expect(ids(found.outline)).toEqual(['edge']);
    expect(found.roles.get('h3')).toBe('unused');
    expect(found.warnings).toEqual([]);
    expect(ids(assign(`${red}${blue}`, { openings: 'stroke: rgb(200 55 55)' }).openings)).toEqual([
      'h1',
      'h2',
    ]);
    expect(ids(assign(`${holes}${blue}`, { openings: 'stroke:none' }).openings)).toEqual(['h1', 'h2']);
  });

  it('come behind the own name of a shape, and are no nearer than a layer', () => {
    const found = assign(`${red}${blue}`, { openings: 'stroke:#c83737', marks: 'h2' });
    expect(ids(found.openings)).toEqual(['h1']);
    expect(ids(found.marks)).toEqual(['h2']);
    const layered = `<g id="outline">${blue}<g id="crosses">${red}</g></g>`;
    const error = inputErrorOf(() => assign(layered, { openings: 'stroke:#c83737' }));
    expect(error.message).toBe(
      'h1 and 1 more, which both outline (outline) and openings (stroke:#c83737) select; expected one role for each shape',
    );
    const cured = assign(layered, { openings: 'stroke:#c83737', outline: 'not crosses' });
    expect(ids(cured.openings)).toEqual(['h1', 'h2']);
    expect(ids(cured.outline)).toEqual(['edge']);
  });

  it('a colour that is none, or that no shape has, is refused', () => {
    const wrong = inputErrorOf(() => assign(red, { openings: 'stroke:bleu' }));
    expect(wrong.message).toBe(
      'roles: openings: stroke:bleu, of which "bleu" is no colour; expected a colour such as #c83737, red, rgb(200, 55, 55), or none',
    );
    expect(wrong.next).toBe('Did you mean stroke:blue?');
    expect(inputErrorOf(() => assign(red, { openings: 'stroke:#c8373' })).message).toMatch(
      '"#c8373" is no colour',
    );
    const absent = inputErrorOf(() =>
      assign(`${red}${blue}`, { openings: ['stroke:#c83737', 'stroke:lime'] }),
    );
    expect(absent.message).toBe(
      'roles: openings: stroke:lime, a stroke that no shape of the drawing has; expected one of stroke:#c83737, stroke:#0000ff',
    );
  });
});

describe('several entries, and exceptions', () => {
  const body = `<g id="leaves">${holes}<g id="veins"><circle id="v1" cx="60" cy="60" r="2"/><circle id="v2" cx="70" cy="70" r="2"/></g></g><g id="Löcher innen"><circle id="o" cx="80" cy="80" r="2"/></g>${outline}`;

  it('take everything that any of them names', () => {
    const found = assign(body, { openings: ['veins', 'Löcher innen', 'h1'], outline: 'edge' });
    expect(ids(found.openings)).toEqual(['h1', 'v1', 'v2', 'o']);
  });

  it('leave out what stands behind not, unless it is named itself', () => {
    expect(ids(assign(body, { openings: ['leaves', 'not veins'], outline: 'edge' }).openings)).toEqual([
      'h1',
      'h2',
    ]);
    expect(ids(assign(body, { openings: ['leaves', 'not veins', 'v2'], outline: 'edge' }).openings)).toEqual([
      'h1',
      'h2',
      'v2',
    ]);
    expect(ids(assign(body, { openings: ['veins', 'not leaves', 'h1'], outline: 'edge' }).openings)).toEqual([
      'h1',
    ]);
    expect(ids(assign(body, { openings: ['leaves', 'NOT v1'], outline: 'edge' }).openings)).toEqual([
      'h1',
      'h2',
      'v2',
    ]);
  });

  it('alone, exceptions leave the role what it would be without them', () => {
    const found = assign(body, { openings: 'not veins' });
    expect(ids(found.openings)).toEqual(['h1', 'h2', 'o']);
    expect(ids(found.outline)).toEqual(['edge']);
    expect(found.roles.get('v1')).toBe('unused');
    const noOutline = assign(`${outline}<rect id="frame" x="0" y="0" width="100" height="100"/>${holes}`, {
      outline: 'not frame',
    });
    expect(ids(noOutline.outline)).toEqual(['edge']);
    expect(noOutline.roles.get('frame')).toBe('unused');
    const layered = assign(`<g id="openings">${holes}</g>`, { openings: 'not h2' });
    expect(ids(layered.openings)).toEqual(['h1']);
  });

  it('each have to name something', () => {
    const error = inputErrorOf(() => assign(body, { openings: ['leaves', 'not vein'] }));
    expect(error.message).toMatch('roles: openings: not vein, which is neither a shape nor a layer');
    expect(error.next).toBe('Did you mean veins?');
  });

  it('that are the very name of a shape or layer mean that name', () => {
    const odd = `<g id="not cut" ><circle id="stroke:red" cx="5" cy="5" r="1"/></g>${holes}`;
    expect(ids(assign(odd, { openings: 'not cut' }).openings)).toEqual(['stroke:red']);
    expect(ids(assign(odd, { openings: 'stroke:red' }).openings)).toEqual(['stroke:red']);
    expect(ids(assign(odd, { openings: ['not not cut', 'h1'] }).openings)).toEqual(['h1']);
  });
});

describe('the line that states what was assumed', () => {
  const lineOf = (body: string): string | undefined => assign(body).line;
  const unnamed = '<circle cx="20" cy="20" r="5"/>'.repeat(12);

  it.each([
    ['a layer', `<g id="leaves">${holes}</g>${outline}`, 'roles: {openings: leaves, outline: edge}'],
    [
      'two layers',
      `<g id="a">${holes}</g><g id="b">${unnamed}</g>${outline}`,
      'roles: {openings: [a, b], outline: edge}',
    ],
    [
      'a layer with exceptions',
      `<g id="all">${unnamed}${outline}<path id="fold" d="M0 0h9"/></g>`,
      'roles: {openings: [all, not fold], outline: edge}',
    ],
    [
      'a colour',
      `<g stroke="red">${unnamed}</g>${outline}<path d="M0 0h9"/>`,
      'roles: {openings: "stroke:#ff0000", outline: edge}',
    ],
    [
      'no colour',
      `${unnamed}${outline}${marks}<path d="M0 0h9"/>`,
      'roles: {openings: ["stroke:none", not marks, not path-16], outline: edge}',
    ],
  ])('by %s', (_by, body, line) => {
    expect(lineOf(body)).toBe(line);
    const found = assign(body, statedBy(line));
    expect(found.roles).toEqual(assign(body).roles);
    expect(found.warnings).toEqual([]);
  });

  it('is not there where nothing short says the same', () => {
    const mixed = Array.from(
      { length: 12 },
      (_, i) => `<circle cx="20" cy="${5 * i + 20}" r="1" stroke="#0000${10 + i}"/>`,
    ).join('');
    expect(lineOf(mixed)).toBeUndefined();
    expect(said(assign(mixed))).toMatch('To state the openings, put them into a group of their own');
  });

  it('for random drawings always means what was assumed', () => {
    const name = fc.constantFrom('leaf', 'Löcher innen', 'not a name', 'stroke:red', 'yes');
    const circle = fc
      .record({
        at: fc.integer({ min: 10, max: 90 }),
        id: fc.option(name),
        stroke: fc.constantFrom('red', 'lime', 'none'),
      })
      .map(
        ({ at, id, stroke }) =>
          `<circle ${id === null ? '' : `id="${id}"`} cx="${at}" cy="50" r="2" stroke="${stroke}"/>`,
      );
    const open = fc.constant('<path d="M0 0h9" stroke="red"/>');
    const group = fc
      .record({ id: name, inner: fc.array(fc.oneof(circle, open), { maxLength: 3 }) })
      .map(({ id, inner }) => `<g label="${id}">${inner.join('')}</g>`);
    let stated = 0;
    fc.assert(
      fc.property(
        fc.array(fc.oneof(circle, open, group), { minLength: 1, maxLength: 6 }),
        fc.boolean(),
        (parts, edged) => {
          const body = `${parts.join('')}${edged ? outline : ''}`;
          const found = assign(body);
          if (found.line === undefined) return;
          const again = assign(body, statedBy(found.line));
          expect(again.roles).toEqual(found.roles);
          stated += 1;
        },
      ),
      { seed: 20261125, numRuns: 300 },
    );
    expect(stated).toBeGreaterThan(150);
  });
});

describe('the line that states assumed roles', () => {
  it('does not name the outline where a group has the same name', () => {
    const ring = '<rect id="edge" x="1" y="1" width="98" height="98"/>';
    const hole = (x: number): string => `<circle id="h${x}" cx="${x}" cy="30" r="4"/>`;
    const drawing = readBody(
      `<g data-name="edge">${hole(20)}${hole(40)}<path d="M5 5h9"/></g>${hole(60)}${ring}`,
    );
    const { line, roles } = assignRoles(drawing, defaultRoles);
    expect(roles.get('edge')).toBe('outline');
    expect(line).toBe('roles: {openings: [h20, h40, h60]}');
    const plain = assignRoles(readBody(`<g data-name="rim">${hole(20)}</g>${hole(60)}${ring}`), defaultRoles);
    expect(plain.line).toBe('roles: {openings: [rim, h60], outline: edge}');
  });
});

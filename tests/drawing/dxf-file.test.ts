import { describe, expect, it } from 'vitest';
import { marksIn } from '../../src/drawing/mark-sites/marks-in.js';
import { readDrawing } from '../../src/drawing/read.js';
import { assignRoles } from '../../src/drawing/roles/roles.js';
import { defaultRoles } from '../../src/job/job.js';
import {
  arc,
  at,
  binaryOf,
  block,
  bytesOf,
  circle,
  type DxfParts,
  dxfTags,
  insert,
  layer,
  line,
  lwpolyline,
  readBytes,
  readParts,
  readTags,
  refusalOf,
  refusalOfParts,
  type Tag,
  textOf,
} from './dxf-text.js';
import { plainShapes } from './plain-shapes.js';

const everything: DxfParts = {
  layers: [layer('Cut', [70, 0], [62, 3], [420, 0x0c83f7])],
  blocks: [block('LEAF', [1, 2], circle(1, 2, 3.25), line(0, 0, 7.125, -1e-3))],
  entities: [
    line(0.1, -2.5, 1234.56789, 4, [5, '1F'], [8, 'Cut'], [290, 1], [310, '00ff20']),
    arc(10, 20, 5, 350, 80, [1001, 'SOMEONE'], [1040, 1.5], [1070, 3], [1071, 70000], [1004, 'a0b1']),
    lwpolyline(
      true,
      [
        [0, 0],
        [20, 0, 1],
        [20, 10],
      ],
      [62, 5],
    ),
    insert('LEAF', 100, 50, [50, 30]),
    [[0, 'TEXT'], ...at(0, 0), [1, 'fern']],
  ],
};

describe('a DXF file', () => {
  it('is the same drawing with any line ends, mixed ones too', () => {
    const tags = dxfTags(everything);
    const wanted = readBytes(bytesOf(textOf(tags)));
    expect(wanted.shapes).toHaveLength(5);
    for (const newline of ['\r\n', '\r']) expect(readBytes(bytesOf(textOf(tags, newline)))).toEqual(wanted);
    const ends = ['\r\n', '\n', '\r'];
    // A line of text alone may not begin with a line feed, which would end in the carriage return before it.
    const mixed = tags
      .map(([code, value], i) => `${code}${ends[i % 3]}${value}${ends[(i + 1) % 3]}`)
      .join('');
    expect(readBytes(bytesOf(mixed))).toEqual(wanted);
  });

  it('is the same drawing with blanks around codes and values, comments, a byte order mark and no last line end', () => {
    const tags = dxfTags(everything);
    const wanted = readBytes(bytesOf(textOf(tags)));
    const text = tags.map(([code, value]) => `${String(code).padStart(3)}  \n\t${value} \n`).join('');
    expect(readBytes(bytesOf(text))).toEqual(wanted);
    expect(readBytes(bytesOf(`\ufeff${text.trimEnd()}`))).toEqual(wanted);
    expect(readBytes(bytesOf(`${text}\n\n\x1a`))).toEqual(wanted);
    const withComments = readBytes(
      bytesOf(`999\nfern screen\n${text.replaceAll('  0  \n', '999\nnext\n  0  \n')}`),
    );
    expect(withComments.box).toEqual(wanted.box);
    expect(withComments.shapes).toHaveLength(5);
  });

  it.each([
    ['from release 13 on', false],
    ['up to release 12', true],
  ])('in binary form (as %s) is the same drawing, told by bytes instead of lines', (_, short) => {
    const tags = dxfTags({
      ...everything,
      entities: everything.entities.filter((_, i) => !short || i !== 1),
    });
    const wanted = readTags(tags);
    const got = readBytes(binaryOf(tags, short));
    expect(plainShapes(got)).toEqual(plainShapes(wanted).map(({ line: _, ...shape }) => shape));
    expect(got.box).toEqual(wanted.box);
    expect(got.leftOut.map(({ what }) => what)).toEqual(['TEXT']);
    expect(got.leftOut[0]!.where).toMatch(/^byte \d+$/);
  });

  it('in binary form holds chunks, flags and long numbers that are passed over', () => {
    const tags = dxfTags(everything);
    expect(tags.some(([code]) => code === 310)).toBe(true);
    expect(readBytes(binaryOf(tags)).shapes).toHaveLength(5);
  });

  it('of the oldest kind, with its entities alone, needs nothing but the length of its units', () => {
    const tags: Tag[] = [
      [0, 'SECTION'],
      [2, 'ENTITIES'],
      ...line(0, 0, 1, 1, [8, 'OUTLINE']),
      [0, 'ENDSEC'],
      [0, 'EOF'],
    ];
    expect(readTags(tags, 'in').box).toEqual({ minX: 0, minY: 0, maxX: 25.4, maxY: 25.4 });
  });

  it('that closes its header early and goes on with it, as some programs write, is read all the same', () => {
    const tags: Tag[] = [
      [0, 'SECTION'],
      [2, 'HEADER'],
      [9, '$ACADVER'],
      [1, 'AC1015'],
      [0, 'ENDSEC'],
      [9, '$INSUNITS'],
      [70, 6],
      [0, 'ENDSEC'],
      [0, 'SECTION'],
      [2, 'ENTITIES'],
      ...line(0, 0, 1, 1),
      [0, 'ENDSEC'],
      [0, 'EOF'],
    ];
    expect(readTags(tags)).toMatchObject({ units: 'm', box: { maxX: 1000 } });
  });

  it('is known by its first tag, whatever its name says', () => {
    expect(readTags(dxfTags(everything)).shapes).toHaveLength(5);
    expect(refusalOf(bytesOf('hello')).found).toBe('the group code "hello"');
    const named = (name: string) => readDrawing(bytesOf(textOf(dxfTags(everything))), { path: name });
    expect(named('panel').shapes).toHaveLength(5);
    const dwg = () => readDrawing(bytesOf('AC1027\0\0\0'), { path: 'panel.dwg' });
    expect(dwg).toThrow(
      'a DWG file, which only its own programs read; expected a drawing in SVG (.svg) or DXF (.dxf)',
    );
  });

  it('has its roles by the names of its layers, and a block inserted as a mark is one mark named by the block', () => {
    const tags = dxfTags({
      blocks: [block('A', [0, 0], line(-1, 0, 1, 0), line(0, -1, 0, 1), circle(0, 0, 2))],
      entities: [
        insert('A', 20, 30, [8, 'marks']),
        circle(60, 60, 3, [8, 'marks'], [5, '2F']),
        circle(100, 100, 20, [8, 'openings']),
        lwpolyline(
          true,
          [
            [0, 0],
            [300, 0],
            [300, 200],
            [0, 200],
          ],
          [8, 'outline'],
        ),
      ],
    });
    const drawing = readTags(tags);
    const roles = assignRoles(drawing, defaultRoles);
    expect(roles.warnings).toEqual([]);
    expect(roles.openings.map(({ id }) => id)).toEqual(['circle-5']);
    expect(roles.outline.map(({ id }) => id)).toEqual(['lwpolyline-6']);
    expect(marksIn(drawing, roles).map(({ name, centre }) => [name, centre])).toEqual([
      ['A', { x: 20, y: 30 }],
      ['entity-2F', { x: 60, y: 60 }],
    ]);
  });
});

describe('names in a DXF file', () => {
  const layerOf = (bytes: Uint8Array): string => readBytes(bytes).shapes[0]!.layers[0]!;
  const encoded = (version: string, codepage: string | undefined, name: readonly number[]): Uint8Array => {
    const header: Tag[] =
      codepage === undefined
        ? []
        : [
            [9, '$DWGCODEPAGE'],
            [3, codepage],
          ];
    const text = textOf(dxfTags({ version, header, entities: [line(0, 0, 1, 1, [8, '@'])] }));
    return Uint8Array.from([...bytesOf(text)].flatMap((byte) => (byte === 0x40 ? name : [byte])));
  };
  const utf8 = (text: string): number[] => [...new TextEncoder().encode(text)];

  it('are UTF-8 from AC1021 on', () => {
    expect(layerOf(encoded('AC1021', 'ANSI_1251', utf8('Rückseite 縁')))).toBe('Rückseite 縁');
  });

  it('follow their code page before that', () => {
    expect(layerOf(encoded('AC1015', 'ANSI_1252', [0x52, 0xfc, 0x63, 0x6b]))).toBe('Rück');
    expect(layerOf(encoded('AC1015', 'ANSI_1251', [0xef, 0xee, 0xeb, 0xe5]))).toBe('поле');
    expect(layerOf(encoded('AC1015', 'ANSI_936', [0xd6, 0xd0]))).toBe('中');
    expect(layerOf(encoded('AC1009', 'dos850', [0x41]))).toBe('A');
  });

  it('follow pages of DOS, which release 12 wrote (Unicode: CP437, CP850, CP852)', () => {
    expect(layerOf(encoded('AC1009', 'dos437', [0x99, 0x66, 0x66]))).toBe('Öff');
    expect(layerOf(encoded('AC1009', 'DOS850', [0x8a, 0x9b, 0xe1]))).toBe('èøß');
    expect(layerOf(encoded('AC1009', 'dos852', [0x88, 0xa6, 0xfd]))).toBe('łŽř');
  });

  it('may spell letters of two bytes by page and number', () => {
    expect(layerOf(encoded('AC1009', 'ANSI_1252', utf8('\\M+18AF1\\M+49999\\M+5C4E3')))).toBe(
      '寄\\M+49999你',
    );
  });

  it('are read from a file in UTF-16, with and without its mark, as from one in UTF-8', () => {
    const text = textOf(
      dxfTags({
        header: [
          [9, '$DWGCODEPAGE'],
          [3, 'ANSI_932'],
        ],
        entities: [line(0, 0, 1, 1, [8, 'Öffnung 縁'])],
      }),
    );
    const inUtf16 = (content: string, little: boolean): Uint8Array =>
      Uint8Array.from(
        [...content].flatMap((letter) => {
          const code = letter.charCodeAt(0);
          return little ? [code & 255, code >> 8] : [code >> 8, code & 255];
        }),
      );
    for (const little of [true, false]) {
      for (const mark of ['\ufeff', '', '\ufeff  ']) {
        expect(layerOf(inUtf16(mark + text, little))).toBe('Öffnung 縁');
      }
    }
    const cut = refusalOf(inUtf16(text.slice(0, 150), true));
    expect(cut.where.line).toBeGreaterThan(10);
  });

  it('are taken as UTF-8 where they are, though the header says 1252 or nothing', () => {
    expect(layerOf(encoded('AC1015', 'ANSI_1252', utf8('Rück')))).toBe('Rück');
    expect(layerOf(encoded('AC1009', undefined, utf8('Rück')))).toBe('Rück');
  });

  it('in a wrong code page come out misspelt, and stop nothing', () => {
    expect(layerOf(encoded('AC1027', 'ANSI_1252', [0x52, 0xfc]))).toBe('Rü');
    expect(layerOf(encoded('AC1015', 'ANSI_932', [0x52, 0xff]))).toMatch(/^R/);
    expect(layerOf(encoded('AC1015', 'klingon', [0x52, 0xff]))).toBe('Rÿ');
  });

  it('may spell characters by their numbers', () => {
    expect(layerOf(encoded('AC1015', 'ANSI_1252', utf8('R\\U+00FCck\\U+00ZZ')))).toBe('Rück\\U+00ZZ');
  });
});

describe('the units of a DXF drawing', () => {
  const wide = (insunits: number | 'absent'): DxfParts => ({ insunits, entities: [line(0, 0, 10, 0)] });

  it.each([
    [1, 'in', 254],
    [2, 'ft', 3048],
    [4, 'mm', 10],
    [5, 'cm', 100],
    [6, 'm', 10_000],
    [8, 'microinches', 254e-6],
    [9, 'mil', 0.254],
    [10, 'yards', 9144],
    [13, 'um', 0.01],
    [14, 'dm', 1000],
  ])('are those of $INSUNITS: %i is %s (DXF reference; inch and yard of 1959)', (code, name, width) => {
    const drawing = readParts(wide(code));
    expect(drawing.units).toBe(name);
    expect(drawing.box.maxX).toBeCloseTo(width, 12);
    expect(drawing.warnings).toEqual([]);
  });

  it('have to be given where the file states none, and the message tells how large the drawing is', () => {
    const sized = {
      insunits: 0,
      header: [[9, '$EXTMIN'], ...at(-5, 0, 10, 0), [9, '$EXTMAX'], ...at(595, 400, 10, 0)] as Tag[],
      entities: [line(0, 0, 10, 0)],
    };
    expect(refusalOfParts(sized)).toMatchObject({
      found: 'a drawing that has no unit ($INSUNITS 0); it is 600 x 400 of them large',
      expected: 'a unit of length in its header ($INSUNITS: 4 for mm, 1 for inches)',
      where: { file: 'panel.dxf', line: 12 },
      next: 'Say how long its units are ("units: mm" in the job, --units mm for "list"), or export the drawing with its units.',
    });
    expect(refusalOfParts(wide('absent'))).toMatchObject({
      found: 'a drawing that does not say how long its units are (no $INSUNITS)',
      where: { file: 'panel.dxf' },
    });
    expect(refusalOfParts(wide(19)).found).toBe(
      '$INSUNITS 19, which is no unit that a drawing for a machine has',
    );
    for (const code of [0, 'absent', 19] as const) {
      const drawing = readParts(wide(code), 'in');
      expect(drawing).toMatchObject({ units: 'in', warnings: [] });
      expect(drawing.box.maxX).toBe(254);
    }
  });

  it("are the job's where it contradicts the file, and that is said", () => {
    const drawing = readParts(wide(1), 'mm');
    expect(drawing.box.maxX).toBe(10);
    expect(drawing.warnings).toEqual([
      {
        code: 'units-overridden',
        message:
          'The drawing states its unit as in ($INSUNITS), which is 25.4 mm; the job says units: mm, and so a unit is taken as 1 mm.',
      },
    ]);
    expect(readParts(wide(1), 'in').warnings).toEqual([]);
  });
});

describe('a DXF file that is damaged', () => {
  const text = textOf(dxfTags(everything));
  const lines = text.split('\n');
  const lineOf = (word: string, nth = 1): number => {
    let found = -1;
    for (let i = 0; i < nth; i += 1) found = lines.indexOf(word, found + 1);
    return found + 1;
  };
  const changed = (number: number, to: string): Uint8Array =>
    bytesOf(lines.map((line, i) => (i === number - 1 ? to : line)).join('\n'));

  it('is refused wherever it was cut off, with its last line', () => {
    const withoutEnd = lines.length - 3;
    for (let size = 1; size < lines.length - 1; size += 1) {
      // Behind the section of entities nothing is missing but the EOF: see dxf-whole.test.ts.
      if (size === withoutEnd) continue;
      const error = refusalOf(bytesOf(`${lines.slice(0, size).join('\n')}\n`));
      if (size > 1) expect(error.found).toMatch(/^the end of the file before /);
      expect(error.where.file).toBe('panel.dxf');
      expect(error.where.line).toBeGreaterThan(size - 2);
    }
    const half = refusalOf(bytesOf(lines.slice(0, lineOf('ARC') + 2).join('\n')));
    expect(half.found).toBe('the end of the file before the end of its ARC');
    expect(half.expected).toBe('a DXF file that is complete, down to its EOF');
    expect(half.next).toBe('The file is damaged or was cut off: export the drawing again.');
  });

  it('is refused wherever it was cut off in binary form, with its byte', () => {
    const bytes = binaryOf(dxfTags(everything));
    for (let size = 30; size < bytes.length - 6; size += 1) {
      expect(refusalOf(bytes.subarray(0, size)).where.element).toMatch(/^byte \d+$/);
    }
  });

  it('is refused for a group code that is none, with the line', () => {
    const number = lineOf('ARC') + 1;
    for (const [code, found] of [
      ['ten', 'the group code "ten"'],
      ['1.5', 'the group code "1.5"'],
      ['', 'an empty line instead of a group code'],
      ['99999', 'the group code "99999"'],
    ] as const) {
      const error = refusalOf(changed(number, code));
      expect(error.found).toBe(found);
      expect(error.where.line).toBe(number);
    }
  });

  it('is refused for a value that is no number, with the line', () => {
    const number = lineOf('ARC') + 2;
    expect(lines[number - 1]).toBe('10');
    for (const value of ['abc', '1,5', 'NaN', 'inf', '1.#QNAN', '0x10', '--1', '1e999', '1 2', '.', '1e']) {
      const error = refusalOf(changed(number, value));
      expect(error.found).toBe(`"${value}" as the value of group 10`);
      expect(error.where).toEqual({ file: 'panel.dxf', line: number });
    }
    expect(refusalOf(changed(number, '')).found).toBe('nothing as the value of group 10');
  });

  it('takes numbers in every form in which they are written', () => {
    const number = lineOf('ARC') + 2;
    for (const [value, x] of [
      ['+12.5', 12.5],
      ['.5', 0.5],
      ['5.', 5],
      ['1.25E+01', 12.5],
      ['125e-1', 12.5],
      ['-0.0', 0],
      ['286.3055555555554861', 286.30555555555549],
      ['0.1000000000000000055511151231257827', 0.1],
      ['00012', 12],
    ] as const) {
      const s = readBytes(changed(number, value)).shapes[1]!.paths[0]!.segments[0]!;
      expect(s.kind === 'arc' ? s.centre.x : undefined).toBe(x);
    }
  });

  it('is refused for a section that does not end, and for what stands outside of sections', () => {
    const missing = refusalOf(
      bytesOf(text.replace('0\nENDSEC\n0\nSECTION\n2\nBLOCKS', '0\nSECTION\n2\nBLOCKS')),
    );
    expect(missing.found).toBe('SECTION within the section TABLES');
    expect(missing.expected).toBe('the ENDSEC of the section before it');
    expect(refusalOf(bytesOf(text.replace('0\nENDSEC\n0\nEOF', '0\nEOF'))).found).toBe(
      'EOF within the section ENTITIES',
    );
    expect(refusalOf(bytesOf(text.replace('2\nENTITIES\n', ''))).found).toBe(
      'a section without a name (group 0)',
    );
    const stray = refusalOf(bytesOf(text.replace('0\nSECTION\n2\nENTITIES\n', '')));
    expect(stray.found).toBe('group 0 with "LINE" outside any section');
    expect(refusalOf(bytesOf(text.replace('0\nENDBLK\n', ''))).found).toBe(
      'ENDSEC before the end of the block "LEAF"',
    );
  });

  it('is refused for two blocks of one name', () => {
    const twice = { blocks: [block('LEAF', [0, 0]), block('leaf', [0, 0])], entities: [line(0, 0, 1, 1)] };
    expect(refusalOfParts(twice).found).toBe('a second block "leaf"');
  });

  it('is refused for a coordinate that no drawing has, with the line of its entity', () => {
    const at1e12 = { entities: [line(0, 0, 1, 1), circle(1e12, 0, 1)] };
    expect(refusalOfParts(at1e12)).toMatchObject({
      found: 'a coordinate of 1.000e+12 mm in CIRCLE',
      expected: 'coordinates within 1000000000 mm',
      where: { file: 'panel.dxf', line: 50 },
    });
    for (const entity of [
      line(0, 0, 1e300, 0),
      circle(0, 0, 1e300),
      lwpolyline(false, [
        [0, 0, 1e12],
        [1, 0],
      ]),
      lwpolyline(false, [
        [0, 0],
        [-1e300, 1e300],
      ]),
      [[0, 'ELLIPSE'], ...at(0, 0), ...at(1, 0, 11), [40, 1e300]] as Tag[],
      [[0, 'ELLIPSE'], ...at(0, 0), ...at(1, 0, 11), [40, 1], [41, 1e308], [42, -1e308]] as Tag[],
    ]) {
      expect(refusalOfParts({ entities: [entity] }).where.line).toBe(40);
    }
  });

  it('is refused when it is empty, or no DXF at all', () => {
    expect(refusalOf(new Uint8Array()).found).toBe('an empty file');
    expect(refusalOf(bytesOf('\n\n')).found).toBe('a file that does not begin with a section of DXF');
    expect(refusalOf(bytesOf('0\nEOF\n')).found).toBe('a file that does not begin with a section of DXF');
    expect(refusalOf(bytesOf('%PDF-1.4\n')).found).toBe('the group code "%PDF-1.4"');
    expect(refusalOf(binaryOf([])).found).toBe('a file that does not begin with a section of DXF');
  });

  it('is refused in binary form for a code or a value that is none', () => {
    const tags = dxfTags({ entities: [line(0, 0, Number.NaN, 1)] });
    expect(refusalOf(binaryOf(tags)).found).toBe('a value of group 11 that is no number (NaN)');
    const endless = dxfTags({ entities: [line(0, 0, Number.NEGATIVE_INFINITY, 1)] });
    expect(refusalOf(binaryOf(endless)).found).toBe('a value of group 11 that is infinite');
    const unknown = dxfTags({ entities: [line(0, 0, 1, 1, [88, 'x'])] });
    expect(refusalOf(binaryOf(unknown)).found).toBe('the group code 88');
  });
});

import { describe, expect, it } from 'vitest';
import { readDrawing } from '../../src/drawing/read.js';
import { readSvg } from '../../src/drawing/svg/svg.js';
import { entityLimits } from '../../src/drawing/svg/xml/entities.js';
import type { InputError } from '../../src/job/messages.js';
import { manyCurves } from '../bench/many-curves.js';
import { bytesOf, expectRefused, inputErrorOf, page, readBody, readText } from './svg-text.js';

/** Must end: a hang fails by the time limit of the test run; how long it takes is a matter for tests/bench. */
const ends = (work: () => void): void => work();

const withDoctype = (doctype: string, body = ''): string => `<!DOCTYPE svg ${doctype}>\n${page(body)}`;

describe('broken XML is refused with line and column', () => {
  it.each([
    ['<svg width="1mm"\nheight="1mm"><g></svg>', 'broken XML: unexpected close tag', 2],
    ['<svg', 'broken XML: document must contain a root element', 1],
    ['<svg width="1mm" height="1mm"><g>', 'broken XML: unclosed tag: g', 1],
    ['<svg width=1mm>', 'broken XML: unquoted attribute value', 1],
    ['<svg width="1mm" width="2mm"/>', 'broken XML: duplicate attribute: width', 1],
    ['<svg width="1mm" height="1mm">\n\n&fern;</svg>', 'broken XML: undefined entity', 3],
    ['<svg width="1mm" height="1mm"/><svg/>', 'broken XML: documents may contain only one root', 1],
    ['just text', 'broken XML', 1],
    ['<svg width="1mm" height="1mm"/>\u0000', 'broken XML', 1],
    ['<svg a="<"/>', 'broken XML: disallowed character', 1],
  ])('%j', (text, message, line) => {
    expectRefused(text, message, { line });
  });

  it('says where', () => {
    const error = inputErrorOf(() => readText('<svg width="1mm" height="1mm">\n  <g id=leaf/>\n</svg>'));
    expect(error.where).toEqual({ file: 'fern.svg', line: 2, column: 9 });
    expect(error.next).toBe('Open the drawing in the program that made it and export it again.');
  });

  it('an XML file that is no drawing is refused', () => {
    expectRefused(
      '<html><svg/></html>',
      'an XML file whose outermost element is html; expected an SVG drawing',
      {
        line: 1,
      },
    );
    expectRefused(
      '<svg xmlns="urn:x" width="1mm" height="1mm"/>',
      'an XML file whose outermost element is svg',
    );
  });
});

describe('entities', () => {
  it('short plain ones of the document type are read, in attributes too', () => {
    const text = withDoctype(
      `PUBLIC "-//W3C//DTD SVG 1.1//EN" "http://www.w3.org/Graphics/SVG/1.1/DTD/svg11.dtd" [
        <!-- names --><?pi x?><!ELEMENT a (b)><!ENTITY r '5'><!ENTITY more "1&r;&#48;"><!ENTITY r "9">
        <!ATTLIST a b CDATA "<x>">]`,
      '<circle id="&more;" r="&r;"/>',
    );
    expect(readText(text).shapes[0]).toMatchObject({ id: '150', paths: [{ segments: [{ radius: 5 }] }] });
  });

  it('external ones are refused and never fetched', () => {
    const next = 'expected entities that are plain short texts, if any';
    expectRefused(
      withDoctype('[<!ENTITY x SYSTEM "file:///etc/passwd">]', '&x;'),
      `external: it stands for another file; ${next}`,
      {
        line: 1,
      },
    );
    expectRefused(withDoctype('[<!ENTITY x PUBLIC "a" "b">]'), 'the entity x is external');
    expectRefused(withDoctype('[<!ENTITY % x SYSTEM "a">]'), 'the parameter entity x is declared');
    expectRefused(withDoctype('[<!ENTITY % x "a"> %x;]'), 'the parameter entity x is declared');
    expectRefused(withDoctype('[%x;]'), 'a parameter entity is used in the document type');
    expectRefused(withDoctype('[<!ENTITY x "%y;">]'), 'the entity x uses a parameter entity');
  });

  it('markup in one is refused', () => {
    expectRefused(withDoctype('[<!ENTITY x "<rect/>">]', '&x;'), 'the entity x holds markup');
    expectRefused(withDoctype('[<!ENTITY x "&#60;rect/>">]', '&x;'), 'the entity x holds markup');
  });

  it('loops, undeclared and malformed ones are refused', () => {
    expectRefused(withDoctype('[<!ENTITY a "&b;"><!ENTITY b "&a;">]'), 'the entity a contains itself');
    expectRefused(withDoctype('[<!ENTITY a "&b;">]'), 'the entity b is used but not declared');
    expectRefused(withDoctype('[<!ENTITY a>]'), 'an entity declaration is malformed');
    expectRefused(withDoctype('[<!ENTITY a b>]'), 'the declaration of the entity a is malformed');
    expectRefused(withDoctype('[<!ENTITY a "b" NDATA c>]'), 'the declaration of the entity a is malformed');
    expectRefused(
      withDoctype('[<!ENTITY a "&#0;">]'),
      'the character reference &#0; stands for no character',
    );
    expectRefused(withDoctype('[junk]'), 'the document type declaration is malformed');
  });

  it('bombs are refused at once, by number, size, depth and by what they add up to', () => {
    const laughs = Array.from({ length: 9 }, (_, i) => `<!ENTITY l${i + 1} "${`&l${i};`.repeat(10)}">`).join(
      '',
    );
    ends(() =>
      expectRefused(
        withDoctype(`[<!ENTITY l0 "ha">${laughs}]`, '&l9;'),
        /holds more than 65536 characters|nested/,
      ),
    );
    const many = Array.from({ length: entityLimits.count + 1 }, (_, i) => `<!ENTITY e${i} "x">`).join('');
    expectRefused(withDoctype(`[${many}]`), '257 entities are declared, more than 256');
    const deep = Array.from({ length: 10 }, (_, i) => `<!ENTITY d${i} "&d${i + 1};">`).join('');
    expectRefused(withDoctype(`[${deep}<!ENTITY d10 "x">]`), 'entities are nested more than 8 deep');
    const large = `<!ENTITY big "${'x'.repeat(60_000)}">`;
    const blowUp = `<g id="${'&big;'.repeat(1000)}"/>`;
    ends(() => expectRefused(withDoctype(`[${large}]`, blowUp), 'that add more than 4000000 characters'));
  });
});

describe('nesting', () => {
  it('60,000 nested groups are refused at once, with the place', () => {
    ends(() => {
      const text = page('\n<g>'.repeat(60_000) + '</g>'.repeat(60_000));
      expectRefused(text, 'elements nested more than 512 deep; expected at most 512 levels', { line: 513 });
    });
  });

  it('500 nested groups are read', () => {
    const body = `${'<g transform="translate(.1)">'.repeat(500)}<circle r="1"/>${'</g>'.repeat(500)}`;
    expect(readBody(body).shapes[0]!.paths[0]!.segments[0]).toMatchObject({ kind: 'arc', radius: 1 });
  });

  it('use loops are refused, direct and through others', () => {
    const expected = 'expected use elements without a loop';
    expectRefused(
      page('<g id="a">\n<use id="u" href="#a"/></g>'),
      `a use loop: #a shows itself; ${expected}`,
      {
        line: 2,
        element: 'u',
      },
    );
    expectRefused(page('<use id="a" href="#a"/>'), 'a use loop: #a shows itself');
    const three =
      '<g id="a"><use href="#b"/></g><g id="b"><use href="#c"/></g><symbol id="c"><use href="#a"/></symbol>';
    expectRefused(page(three), /a use loop: #[abc] shows itself/);
    expectRefused(page('<defs><g id="a"><use href="#a"/></g></defs><use href="#a"/>'), 'a use loop');
  });

  it('a loop that is never drawn does no harm', () => {
    expect(readBody('<defs><g id="a"><use href="#a"/></g></defs><circle r="1"/>').shapes).toHaveLength(1);
  });

  it('uses that multiply are refused before they fill the memory', () => {
    const level = (i: number): string => `<g id="g${i}">${`<use href="#g${i - 1}"/>`.repeat(10)}</g>`;
    const levels = Array.from({ length: 12 }, (_, i) => level(i + 1)).join('');
    ends(() => {
      const text = page(`<defs><g id="g0"/>${levels}</defs><use href="#g12"/>`);
      expectRefused(text, 'use elements that multiply to more than 800000 elements');
    });
  });

  it('a file that is broken off behind uses that cannot be drawn is told to be broken', () => {
    const far = page('<defs><path id="c" d="M0 0h1e9"/></defs><use href="#c"/><use href="#c"/>');
    expectRefused(far, 'a point at (1.000e+9, 100.0) mm on the page');
    expectRefused(far.replace('</svg>', '<g'), 'broken XML');
  });

  it('uses of a long path count by its segments', () => {
    const long = `<path id="p" d="M0 0${'h1h-1'.repeat(10_000)}"/>`;
    ends(() => {
      expectRefused(
        page(`${long}${'<use href="#p"/>'.repeat(300)}`),
        'use elements that multiply to more than 1000000 segments',
      );
    });
  });

  it('a chain of uses deeper than elements may nest is refused', () => {
    const chain = Array.from({ length: 600 }, (_, i) => `<g id="g${i}"><use href="#g${i + 1}"/></g>`).join(
      '',
    );
    expectRefused(
      page(`<defs>${chain}<g id="g600"/></defs><use href="#g0"/>`),
      'nested more than 512 deep through use',
    );
  });
});

describe('size', () => {
  it('2,000 paths of eight cubics, a path of 60,000 commands and 20,000 instances are read in no time', () => {
    const large = bytesOf(manyCurves(2000));
    ends(() => expect(readSvg(large, { path: 'fern.svg' }).shapes).toHaveLength(2000));
    const long = page(`<path d="M 0 0${' l 0.012345 0.0123 h -0.01'.repeat(30_000)}"/>`);
    ends(() => expect(readText(long).shapes[0]!.paths[0]!.segments).toHaveLength(60_000));
    const uses = page(`<circle id="c" r="1"/>${'<use href="#c" x="9"/>'.repeat(20_000)}`);
    ends(() => expect(readText(uses).shapes).toHaveLength(20_001));
  });
});

describe('files that are no SVG text', () => {
  const refused = (bytes: Uint8Array, path = 'fern.svg'): InputError =>
    inputErrorOf(() => readDrawing(bytes, { path }));

  it('an empty file, a compressed one, another format', () => {
    expect(refused(new Uint8Array()).message).toMatch(/^an empty file; expected a drawing in SVG/);
    expect(refused(new Uint8Array([0x1f, 0x8b, 8, 0])).message).toMatch(
      'a compressed file (gzip, as in .svgz)',
    );
    expect(refused(bytesOf('%PDF-1.7'), 'fern.pdf').message).toMatch(
      /^a PDF file; expected a drawing in SVG \(\.svg\)/,
    );
    expect(refused(bytesOf('  \n'), 'fern.svg').message).toMatch(
      'broken XML: document must contain a root element',
    );
    expect(refused(bytesOf('%PDF-1.7'), 'fern.svg').message).toMatch('broken XML');
    expect(refused(bytesOf('x'), 'fern.txt').where).toEqual({ file: 'fern.txt', line: 1 });
  });

  it('is read by its content where the name says nothing', () => {
    expect(
      readDrawing(bytesOf(`\uFEFF\n ${page('<circle r="1"/>')}`), { path: 'drawing' }).shapes,
    ).toHaveLength(1);
  });

  const text = page('<circle id="Farn-Öffnung" r="1"/>');
  const utf16 = (littleEndian: boolean, mark: boolean): Uint8Array => {
    const source = mark ? `\uFEFF${text}` : text;
    const view = new DataView(new ArrayBuffer(source.length * 2));
    for (let i = 0; i < source.length; i += 1) view.setUint16(2 * i, source.charCodeAt(i), littleEndian);
    return new Uint8Array(view.buffer);
  };

  it.each([
    ['UTF-8 with a byte order mark', bytesOf(`\uFEFF${text}`)],
    ['UTF-16, little end first', utf16(true, true)],
    ['UTF-16, big end first', utf16(false, true)],
    ['UTF-16 without its mark', utf16(true, false)],
    [
      'Latin 1',
      Uint8Array.from(`<?xml version="1.0" encoding="ISO-8859-1"?>${text}`, (c) => c.charCodeAt(0)),
    ],
    ['UTF-8 that calls itself UTF-16', bytesOf(`<?xml version="1.0" encoding="UTF-16"?>${text}`)],
  ])('%s is read', (_name, bytes) => {
    expect(readDrawing(bytes, { path: 'fern.svg' }).shapes[0]!.id).toBe('Farn-Öffnung');
  });

  it('names of Windows for its code pages are understood', () => {
    const named = Uint8Array.from(
      `<?xml version="1.0" encoding="CP932"?>${page('<g id="\x8a\xf1"><path d="M0 0H9"/></g>')}`,
      (c) => c.charCodeAt(0),
    );
    expect(readDrawing(named, { path: 'fern.svg' }).shapes[0]!.layers).toEqual(['寄']);
  });

  it('bytes outside the encoding and unknown encodings are refused', () => {
    const bad = bytesOf(page('\n<circle id="xx" r="1"/>'));
    bad[page('\n<circle id="').length - '</svg>'.length] = 0xff;
    expect(refused(bad).message).toMatch('bytes that are no UTF-8 text');
    const unknown = bytesOf(`<?xml version="1.0" encoding="klingon-8"?>${text}`);
    expect(refused(unknown).message).toMatch('the encoding klingon-8; expected UTF-8, UTF-16');
  });
});

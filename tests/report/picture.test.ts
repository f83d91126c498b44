import { readFileSync } from 'node:fs';
import { SaxesParser } from 'saxes';
import { describe, expect, test } from 'vitest';
import type { Path } from '../../src/geometry/curve.js';
import type { Point } from '../../src/geometry/point.js';
import { pictureSvg } from '../../src/report/picture/job/picture.js';
import { wrappedWriting } from '../../src/report/picture/lettering.js';
import type { PictureInput, PictureRole } from '../../src/report/picture/picture-input.js';
import { bandColours } from '../../src/report/picture/plan/plan-bands.js';
import { roleOrder, roleStyle } from '../../src/report/picture/role-style.js';
import { veil } from '../../src/report/picture/scan-picture.js';
import { palette, weights } from '../../src/report/picture/signs.js';
import { roundStep } from '../../src/report/picture/svg-text.js';

interface Element {
  readonly name: string;
  readonly attributes: Readonly<Record<string, string>>;
  /** Of itself and everything around it, outermost first. */
  readonly inside: readonly Element[];
  text: string;
}

/** Every element of a document; throws where the XML is not well formed. */
const elementsOf = (svg: string): Element[] => {
  const all: Element[] = [];
  const open: Element[] = [];
  const parser = new SaxesParser();
  parser.on('error', (fault) => {
    throw fault;
  });
  parser.on('opentag', (tag) => {
    const element: Element = {
      name: tag.name,
      attributes: tag.attributes as Record<string, string>,
      inside: [...open],
      text: '',
    };
    all.push(element);
    open.push(element);
  });
  parser.on('text', (text) => {
    const last = open.at(-1);
    if (last) last.text += text;
  });
  parser.on('closetag', () => {
    open.pop();
  });
  parser.write(svg).close();
  return all;
};

const square = (x: number, y: number, side: number): Path => {
  const corners = [
    { x, y },
    { x: x + side, y },
    { x: x + side, y: y + side },
    { x, y: y + side },
  ];
  return {
    closed: true,
    segments: corners.map((from, i) => ({ kind: 'line', from, to: corners[(i + 1) % 4]! })),
  };
};

const input: PictureInput = {
  title: 'Screen <1> & "film"',
  caption: ['turned by 1.7 deg'],
  ticks: 'display, mm',
  kerf: 0.12,
  shapes: [
    { role: 'outline', id: 'panel', paths: [square(100, 200, 400)] },
    { role: 'opening', id: 'one', paths: [square(150, 250, 60), square(170, 270, 10)] },
    { role: 'opening', id: 'two', paths: [square(250, 250, 60)] },
    { role: 'beam', id: 'one', paths: [square(149.56, 249.56, 60.88)] },
  ],
  marks: [
    { name: 'A', at: { x: 110, y: 210 }, residual: { x: 0.03, y: 0.04 } },
    { name: 'B', at: { x: 490, y: 215 }, residual: { x: -0.02, y: 0 } },
    { name: 'C', at: { x: 480, y: 590 } },
  ],
  thinLands: [{ between: ['one', 'two'], width: 1.234, at: { x: 230, y: 280 } }],
  details: [
    { at: { x: 230, y: 280 }, width: 8, label: 'The thinnest land', land: 0 },
    { at: { x: 150, y: 250 }, width: 8, label: 'The sharpest corner' },
  ],
};

const inGroup = (element: Element, key: string, value?: string): boolean =>
  element.inside.some((e) => key in e.attributes && (value === undefined || e.attributes[key] === value));

const pathsOf = (all: readonly Element[], role: PictureRole): Element[] =>
  all.filter((e) => e.name === 'path' && inGroup(e, 'data-part', 'shapes') && inGroup(e, 'data-role', role));

const cornersOf = (data: string): Point[] =>
  [...data.matchAll(/[ML](-?[\d.]+),(-?[\d.]+)/g)].map((m) => ({ x: Number(m[1]), y: Number(m[2]) }));

/** Picture units per mm, from the outline 400 mm wide. */
const scaleOf = (all: readonly Element[]): number => {
  const corners = cornersOf(pathsOf(all, 'outline')[0]!.attributes.d!);
  return (corners[1]!.x - corners[0]!.x) / 400;
};

const arrowOf = (all: readonly Element[], mark: string): { from: Point; to: Point } | undefined => {
  const own = all.filter((e) => inGroup(e, 'data-mark', mark));
  const line = own.find((e) => e.name === 'line');
  const head = own.find((e) => e.name === 'polygon');
  if (!line || !head) return undefined;
  const [x, y] = head.attributes.points!.split(' ')[0]!.split(',').map(Number);
  return { from: { x: Number(line.attributes.x1), y: Number(line.attributes.y1) }, to: { x: x!, y: y! } };
};

describe('picture', () => {
  test('is well-formed XML whatever stands in names, and shows them as they are', () => {
    const odd = 'a<b>&"c"\u0007';
    const svg = pictureSvg({
      ...input,
      shapes: [{ role: 'opening', id: odd, paths: [square(0, 0, 10)] }],
      marks: [{ name: odd, at: { x: 1, y: 1 } }],
      thinLands: [{ between: [odd, odd], width: 1, at: { x: 1, y: 1 } }],
    });
    const texts = elementsOf(svg).map((e) => e.text);
    expect(texts).toContain('Screen <1> & "film"');
    expect(texts).toContain('a<b>&"c"\u{FFFD}');
  });

  test('shows every opening with its islands as one shape, under its id', () => {
    const openings = pathsOf(elementsOf(pictureSvg(input)), 'opening');
    expect(openings).toHaveLength(2);
    expect(openings[0]!.attributes.d!.match(/M/g)).toHaveLength(2);
    expect(openings[0]!.inside.some((e) => e.attributes['fill-rule'] === 'evenodd')).toBe(true);
    const titles = elementsOf(pictureSvg(input)).filter(
      (e) => e.name === 'title' && inGroup(e, 'data-part', 'shapes'),
    );
    expect(titles.map((e) => e.text)).toEqual(['panel', 'one', 'two', 'one']);
  });

  test('keeps shapes true: equal scales, y upwards, or downwards for a display that counts so', () => {
    const up = cornersOf(pathsOf(elementsOf(pictureSvg(input)), 'outline')[0]!.attributes.d!);
    expect(up[1]!.x - up[0]!.x).toBeCloseTo(1000, 1);
    expect(up[1]!.y - up[2]!.y).toBeCloseTo(1000, 1);
    const turned = pictureSvg({ ...input, axes: 'y-down' });
    const down = cornersOf(pathsOf(elementsOf(turned), 'outline')[0]!.attributes.d!);
    expect(down[2]!.y - down[1]!.y).toBeCloseTo(1000, 1);
  });

  test('draws each residual as an arrow from the fitted position, stretched by the factor it states', () => {
    const all = elementsOf(pictureSvg(input));
    const scale = scaleOf(all);
    const stated = all
      .map((e) => /^residual of ([\d.]+) mm, enlarged (\d+) times$/.exec(e.text))
      .find((m) => m !== null)!;
    const [bar, factor] = [Number(stated[1]), Number(stated[2])];
    for (const mark of input.marks!) {
      const arrow = arrowOf(all, mark.name);
      if (!mark.residual) {
        expect(arrow).toBeUndefined();
        continue;
      }
      expect(arrow!.to.x - arrow!.from.x).toBeCloseTo(mark.residual.x * factor * scale, 1);
      expect(arrow!.to.y - arrow!.from.y).toBeCloseTo(-mark.residual.y * factor * scale, 1);
    }
    const legend = all.filter((e) => inGroup(e, 'data-part', 'residual-bar'));
    const tip = Number(legend.find((e) => e.name === 'polygon')!.attributes.points!.split(',')[0]);
    const start = Number(legend.find((e) => e.name === 'line')!.attributes.x1);
    expect(tip - start).toBeCloseTo(bar * factor * scale, 1);
  });

  test('keeps the longest arrow within its room from a thousandth of a millimetre to a metre', () => {
    for (const size of [0.001, 0.013, 0.07, 0.5, 3, 40, 1000]) {
      const marks = [{ name: 'A', at: { x: 110, y: 210 }, residual: { x: size, y: 0 } }];
      const { from, to } = arrowOf(elementsOf(pictureSvg({ ...input, marks })), 'A')!;
      expect(to.x - from.x).toBeLessThanOrEqual(80.01);
      expect(to.x - from.x).toBeGreaterThan(80 / 2.6);
    }
  });

  test('draws no arrow and states no factor where residuals are nothing but rounding', () => {
    const marks = [{ name: 'A', at: { x: 110, y: 210 }, residual: { x: 1e-13, y: 0 } }];
    const all = elementsOf(pictureSvg({ ...input, marks }));
    expect(arrowOf(all, 'A')).toBeUndefined();
    expect(all.some((e) => e.text.includes('times'))).toBe(false);
  });

  test('numbers thin lands alike in the picture, the list and the detail', () => {
    const all = elementsOf(pictureSvg(input));
    const flag = all.filter((e) => inGroup(e, 'data-land', '1'));
    const scale = scaleOf(all);
    const outline = cornersOf(pathsOf(all, 'outline')[0]!.attributes.d!)[0]!;
    const ring = flag.find((e) => e.name === 'circle')!.attributes;
    expect(Number(ring.cx)).toBeCloseTo(outline.x + 130 * scale, 1);
    expect(Number(ring.cy)).toBeCloseTo(outline.y - 80 * scale, 1);
    expect(flag.some((e) => e.text === 'L1')).toBe(true);
    expect(
      all.filter((e) => e.name === 'text' && e.text === 'L1' && inGroup(e, 'data-part', 'column')),
    ).toHaveLength(2);
    expect(all.some((e) => e.text === '1.23')).toBe(true);
    expect(all.some((e) => e.text === 'one | two')).toBe(true);
  });

  test('tells how many of each kind there are, and nothing of kinds that are not there', () => {
    const texts = elementsOf(pictureSvg(input)).map((e) => e.text);
    expect(texts).toEqual(
      expect.arrayContaining(['1 outline', '2 openings', '1 cut path, 0.12 mm wide', '3 marks']),
    );
    expect(texts.some((text) => /not used|drawn mark/.test(text))).toBe(false);
  });

  test('shows a drawing by its roles, marks and unused shapes among them', () => {
    const roles: PictureRole[] = ['outline', 'opening', 'mark', 'unused'];
    const shapes = roles.map((role, i) => ({ role, paths: [square(10 * i, 0, 5)] }));
    const all = elementsOf(pictureSvg({ title: 'list', caption: [], ticks: 'design, mm', shapes }));
    for (const role of roles) expect(pathsOf(all, role)).toHaveLength(1);
    expect(all.map((e) => e.text)).toEqual(expect.arrayContaining(['1 drawn mark', '1 shape not used']));
  });

  test('a detail shows what lies in its square, the beam as wide as it burns', () => {
    const all = elementsOf(pictureSvg(input));
    const views = all.filter((e) => e.name === 'svg' && e.inside.length > 0);
    expect(views).toHaveLength(2);
    const corner = all.filter((e) => e.inside.includes(views[1]!));
    expect(corner.filter((e) => e.name === 'title').map((e) => e.text)).toEqual(['panel', 'one', 'one']);
    const beam = corner.find((e) => e.attributes['data-role'] === 'beam')!;
    const side = Number(views[1]!.attributes.width);
    expect(Number(beam.attributes['stroke-width'])).toBeCloseTo((0.12 * side) / 8, 1);
  });

  test('a picture of nothing, and of one point, is still a picture', () => {
    for (const marks of [[], [{ name: 'A', at: { x: 5, y: 5 } }]]) {
      const svg = pictureSvg({ title: 'empty', caption: [], ticks: 'mm', shapes: [], marks });
      expect(svg).not.toMatch(/NaN|Infinity/);
      expect(elementsOf(svg)[0]!.name).toBe('svg');
    }
  });

  test('shows the edge of an opening where it was pierced, not where it is drawn, where that is to be seen', () => {
    const edgesOf = (pierced: number) =>
      elementsOf(pictureSvg({ ...input, pierced })).filter(
        (e) =>
          e.name === 'path' && Number(e.attributes['stroke-width']) > 4 && inGroup(e, 'data-part', 'shapes'),
      );
    const scale = scaleOf(elementsOf(pictureSvg(input)));
    expect(edgesOf(0.001)).toHaveLength(0);
    const [rim, inner] = edgesOf(1.5) as [Element, Element];
    expect(Number(inner.attributes['stroke-width'])).toBeCloseTo(3 * scale, 1);
    expect(inner.attributes.stroke).toBe(palette.paper);
    expect(rim.attributes.stroke).toBe(palette.ink);
    expect(Number(rim.attributes['stroke-width'])).toBeCloseTo(3 * scale + 2 * weights.existing, 1);
  });

  test('an opening that does not fit has a heavy edge, one that may be touched a dashed one, and both are counted', () => {
    const shapes = input.shapes.map((shape) =>
      shape.role !== 'opening'
        ? shape
        : { ...shape, verdict: shape.id === 'one' ? ('does-not-fit' as const) : ('too-close' as const) },
    );
    const all = elementsOf(pictureSvg({ ...input, shapes }));
    const edge = (verdict: string) =>
      all.find((e) => e.attributes['data-verdict'] === verdict && inGroup(e, 'data-part', 'shapes'))!
        .attributes;
    expect(edge('too-close')['stroke-dasharray']).toBeDefined();
    expect(edge('does-not-fit')['stroke-dasharray']).toBeUndefined();
    expect(all.map((e) => e.text)).toEqual(
      expect.arrayContaining(['1 edge that may be touched', '1 edge that does not fit']),
    );
  });

  describe('is read without colour, on a screen and printed in grey', () => {
    // Relative luminance and contrast as W3C WCAG 2.2 defines them: 4.5 for text (1.4.3), 3 for lines (1.4.11).
    const light = (hex: string): number => {
      const [r, g, b] = [1, 3, 5].map((i) => {
        const v = Number.parseInt(hex.slice(i, i + 2), 16) / 255;
        return v <= 0.04045 ? v / 12.92 : ((v + 0.055) / 1.055) ** 2.4;
      });
      return 0.2126 * r! + 0.7152 * g! + 0.0722 * b!;
    };
    const contrast = (one: string, other: string): number => {
      const [a, b] = [light(one), light(other)];
      return (Math.max(a, b) + 0.05) / (Math.min(a, b) + 0.05);
    };
    const stroke = (role: PictureRole) => String(roleStyle[role].stroke);
    const weight = (role: PictureRole) => Number(roleStyle[role]['stroke-width']);

    test('text by 4.5 to 1, lines by 3 to 1, against all that they lie on', () => {
      for (const under of [palette.paper, palette.panel]) {
        for (const colour of [palette.ink, palette.quiet])
          expect(contrast(colour, under)).toBeGreaterThan(4.5);
        for (const role of roleOrder) expect(contrast(stroke(role), under)).toBeGreaterThan(3);
        expect(contrast(palette.error, under)).toBeGreaterThan(4.5);
      }
      // A seam of film is a shade of ink over either.
      expect(contrast(palette.ink, palette.film)).toBeGreaterThan(4.5);
    });

    test('opening, land and path by the weight of a line and by lightness, not by hue', () => {
      expect(weight('beam')).toBeGreaterThan(1.9 * weight('opening'));
      expect(weight('outline')).toBeGreaterThan(1.5 * weight('opening'));
      expect(weights.broken).toBeGreaterThan(1.7 * weights.cut);
      expect(roleStyle.opening.fill).not.toBe(roleStyle.outline.fill);
      expect(roleOrder.at(-1)).toBe('beam');
    });

    test('and the page has the same colours for the same meanings, by day', () => {
      const css = readFileSync(new URL('../../src/page/style/base.css', import.meta.url), 'utf8');
      const byDay = css.slice(0, css.indexOf('@media'));
      const names = {
        paper: 'paper',
        panel: 'pan',
        ink: 'ink',
        quiet: 'ink2',
        hairline: 'hair',
        film: 'film',
        error: 'acc',
      };
      for (const [meaning, name] of Object.entries(names))
        expect(byDay).toContain(`--${name}: ${palette[meaning as keyof typeof palette]};`);
    });

    test('ink stands out from every band of a plan by 3 to 1', () => {
      for (const band of bandColours) expect(contrast(palette.ink, band)).toBeGreaterThan(3);
    });

    test('edges and departures stand out from the darkest and the lightest scan under its veil by 3 to 1', () => {
      const covered = (scan: number): string =>
        `#${[1, 3, 5]
          .map((i) => {
            const paper = Number.parseInt(palette.paper.slice(i, i + 2), 16);
            return Math.round(veil * paper + (1 - veil) * scan)
              .toString(16)
              .padStart(2, '0');
          })
          .join('')}`;
      for (const scan of [0, 255])
        for (const line of [palette.ink, palette.error])
          expect(contrast(line, covered(scan))).toBeGreaterThan(3);
    });
  });
});

describe('writing in a picture', () => {
  test('round steps are 1, 2 or 5 times a power of ten, the largest that is not too large', () => {
    expect([0.099, 0.1, 0.19, 1, 4.99, 5, 73, 1999].map(roundStep)).toEqual([
      0.05, 0.1, 0.1, 1, 2, 5, 50, 1000,
    ]);
  });

  test('a word that is longer than its line is shortened in its middle, for its ends tell it from others', () => {
    const [line] = wrappedWriting('an-opening-with-a-very-long-name-12', 150, 15);
    expect(line).toMatch(/^an-ope.*….*-12$/);
  });

  test('lines break between words and lose none', () => {
    const lines = wrappedWriting('one two three four five six seven', 100, 15);
    expect(lines.length).toBeGreaterThan(1);
    expect(lines.join(' ')).toBe('one two three four five six seven');
  });
});

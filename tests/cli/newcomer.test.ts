/** Mistakes that a newcomer makes on the way through the README. The advice is followed to the letter, by a program. */
import { describe, expect, it } from 'vitest';
import { parseDocument } from 'yaml';
import { type Workshop, workshop } from './workshop.js';

/** A screen of 400 x 300 mm whose marks fit onto themselves in no other way; design frame, y up. */
const marks = { A: [20, 25], B: [380, 30], C: [372, 275], D: [60, 270] } as const;
type Mark = keyof typeof marks;

const screen = (how: { unit?: string; outline?: boolean; layers?: boolean } = {}): string => {
  const { unit = 'mm', outline = true, layers = true } = how;
  const scale = unit === 'px72' ? 72 / 25.4 : 1;
  const size =
    unit === 'mm'
      ? 'width="400mm" height="300mm" '
      : unit === 'px72'
        ? `width="${400 * scale}px" height="${300 * scale}px" `
        : '';
  const n = (value: number): string => String(Number((value * scale).toFixed(6)));
  const dots = Object.entries(marks).map(
    ([id, [x, y]]) => `<circle id="${id}" cx="${n(x)}" cy="${n(300 - y)}" r="${n(1)}"/>`,
  );
  const holes = `<circle id="moon" cx="${n(120)}" cy="${n(150)}" r="${n(20)}"/><rect id="window" x="${n(200)}" y="${n(120)}" width="${n(60)}" height="${n(40)}"/>`;
  return `<svg xmlns="http://www.w3.org/2000/svg" ${size}viewBox="0 0 ${n(400)} ${n(300)}">
<g id="marks">${dots.join('')}</g><g ${layers ? 'id="openings"' : ''}>${holes}</g>
${outline ? `<g ${layers ? 'id="outline"' : ''}><rect id="edge" x="0" y="0" width="${n(400)}" height="${n(300)}"/></g>` : ''}</svg>`;
};

/** Where the part lies: turned by 1 degree and moved; with errors as a pointer makes them. */
const lies = ([x, y]: readonly [number, number], k: number): [number, number] => {
  const [cos, sin] = [Math.cos(Math.PI / 180), Math.sin(Math.PI / 180)];
  const error = [0.03, -0.04, 0.02, -0.01];
  return [cos * x - sin * y + 210 + error[k]!, sin * x + cos * y + 130 - error[3 - k]!];
};

type Change = (p: [number, number], mark: Mark) => [number, number];

const readingLines = (change: Change): string[] =>
  (Object.keys(marks) as Mark[]).map((mark, k) => {
    const [x, y] = change(lies(marks[mark], k), mark);
    return `  ${mark}: [${x.toFixed(2)}, ${y.toFixed(2)}]`;
  });

const job = (change: Change = (p) => p, more: readonly string[] = [], readingsOf = readingLines): string =>
  [
    'drawing: screen.svg',
    'readings:',
    ...readingsOf(change),
    'fit: {reading-sd: 0.06}',
    'cut: {clearance: 0.5, kerf: 0.12}',
    ...more,
    '',
  ].join('\n');

const check = async (shop: Workshop) => {
  const { status, out, err } = await shop.call('check', '--json', 'job.yaml');
  return { status, err, said: out === '' ? undefined : JSON.parse(out) };
};

/** What a display shows of the part, for who reads again: as at first, without the mistake of a single reading. */
const followed = (
  text: string,
  advice: { kind: string; message: string; marks: string[]; set: { key: string; value: string } | null },
  whole: Change,
): string => {
  const document = parseDocument(text);
  if (advice.set !== null) document.setIn(advice.set.key.split('.'), advice.set.value);
  else if (advice.kind === 'read-again') {
    expect(advice.marks.length).toBeGreaterThan(0);
    for (const mark of advice.marks as Mark[]) {
      const k = Object.keys(marks).indexOf(mark);
      document.setIn(['readings', mark], whole(lies(marks[mark], k), mark));
    }
  } else {
    expect(advice.message).toMatch(
      /^Exchange x and y in every reading|^Write the readings in mm, not in inches/,
    );
    for (const mark of Object.keys(marks)) {
      const [x, y] = (document.toJS() as { readings: Record<string, [number, number]> }).readings[mark]!;
      document.setIn(['readings', mark], /^Exchange/.test(advice.message) ? [y, x] : [25.4 * x, 25.4 * y]);
    }
  }
  return String(document);
};

const same: Change = (p) => p;

describe('a mistake that only the readings show', () => {
  it.each<[what: string, change: Change, more: readonly string[], whole?: Change]>([
    ['y written before x in every reading', ([x, y]) => [y, x], []],
    [
      'y before x in every reading, on a bed of known size',
      ([x, y]) => [y, x],
      ['machine: {size: [700, 500]}'],
    ],
    ['a display that counts y downwards', ([x, y]) => [x, 600 - y], [], ([x, y]) => [x, 600 - y]],
    [
      'the same, with a section for the machine',
      ([x, y]) => [x, 600 - y],
      ['machine: {size: [900, 600]}'],
      ([x, y]) => [x, 600 - y],
    ],
    ['a part on its face', ([x, y]) => [800 - x, y], [], ([x, y]) => [800 - x, y]],
    [
      'a part on its face, on a machine of known axes',
      ([x, y]) => [800 - x, y],
      ['machine: {axes: y-up}'],
      ([x, y]) => [800 - x, y],
    ],
    ['readings in inches', ([x, y]) => [x / 25.4, y / 25.4], []],
    [
      'two digits exchanged',
      ([x, y], m) => (m === 'C' ? [Number(x.toFixed(2).replace(/^(.)(.)/, '$2$1')), y] : [x, y]),
      [],
    ],
    [
      'a mark read in place of another',
      (p, m) => (m === 'A' ? lies(marks.B, 1) : m === 'B' ? lies(marks.A, 0) : p),
      [],
    ],
    ['one reading far off', ([x, y], m) => (m === 'D' ? [x + 7.31, y - 3.77] : [x, y]), []],
    ['a panel that has grown', ([x, y]) => [x * 1.004, y * 1.004], [], ([x, y]) => [x * 1.004, y * 1.004]],
  ])('%s: the first advice mends the job', async (_, change, more, whole = same) => {
    const shop = workshop();
    shop.write('screen.svg', screen());
    const text = job(change, more);
    shop.write('job.yaml', text);
    const before = await check(shop);
    expect([before.status, before.said.verdict === 'fits']).toEqual([1, false]);
    const cut = await shop.call('cut', 'job.yaml', '-o', 'cut.svg');
    expect(cut.status).not.toBe(0);
    const [advice] = before.said.advice;
    // The terminal gives the same advice first.
    const step = advice.message.replace(/\.$/, '').toLowerCase();
    const told = (await shop.call('check', 'job.yaml')).out.replace(/\s+/g, ' ').toLowerCase();
    expect(told).toContain(`next: ${step}`);
    const mended = followed(text, advice, whole);
    shop.write('job.yaml', mended);
    const after = await check(shop);
    expect([after.err, after.said?.verdict, after.status]).toEqual(['', 'fits', 0]);
    expect((await shop.call('cut', 'job.yaml', '-o', 'cut.svg')).status).toBe(0);
  });
});

describe('a mistake in the file', () => {
  const refusal = async (shop: Workshop, text: string): Promise<string> => {
    shop.write('job.yaml', text);
    const { status, err } = await shop.call('check', 'job.yaml');
    expect(status).toBe(2);
    return err;
  };
  const nextOf = (err: string): string => /next: +(.*)/.exec(err)![1]!;
  const fits = async (shop: Workshop, text: string): Promise<void> => {
    shop.write('job.yaml', text);
    const after = await check(shop);
    expect([after.err, after.status]).toEqual(['', 0]);
  };
  const bench = (drawing = screen()): Workshop => {
    const shop = workshop();
    shop.write('screen.svg', drawing);
    return shop;
  };

  it('a decimal comma in braces: the line of the advice', async () => {
    const shop = bench();
    const text = job().replace('clearance: 0.5', 'clearance: 0,5');
    const [, line] = /^Write (.*)\.$/.exec(nextOf(await refusal(shop, text)))!;
    await fits(shop, text.replace('clearance: 0,5', line!));
  });

  it('the clearance at the top of the job: where the advice puts it', async () => {
    const shop = bench();
    const text = `${job().replace('clearance: 0.5, ', '')}clearance: 0.5\n`;
    const [, section, key] = /^Write it under "(.*)", as "(.*)"\.$/.exec(nextOf(await refusal(shop, text)))!;
    const document = parseDocument(text);
    document.delete('clearance');
    document.setIn([section, key], 0.5);
    await fits(shop, String(document));
  });

  it('a mark that is misnamed: the name of the advice', async () => {
    const shop = bench();
    const text = job().replace('  C:', '  c:');
    const [, name] = /"?\b([A-D])\b"?/.exec(nextOf(await refusal(shop, text)))!;
    await fits(shop, text.replace('  c:', `  ${name}:`));
  });

  it.each([
    ['states no unit and is in mm', 'none'],
    ['counts 72 px to the inch', 'px72'],
  ])('a drawing that %s: the line of the advice', async (_, unit) => {
    const shop = bench(screen({ unit }));
    const err = await refusal(shop, job());
    const [, key, value] = /"?\b(units|dpi): (\w+)"?/.exec(err)!;
    await fits(shop, `${job()}${key}: ${value}\n`);
  });

  it('the drawing in place of the job: the lines of the advice, with the operator’s own figures', async () => {
    const shop = bench();
    const { status, err } = await shop.call('check', 'screen.svg');
    expect(status).toBe(2);
    const lines = err
      .split('\n')
      .filter((line) => /^ {10}/.test(line))
      .map((line) => line.slice(14));
    const document = parseDocument(lines.join('\n'));
    const own = parseDocument(job()).toJS() as { readings: object };
    expect(document.toJS()).toMatchObject({ drawing: 'screen.svg', readings: {}, cut: { clearance: 0.5 } });
    document.set('readings', own.readings);
    await fits(shop, String(document));
  });

  it('a # in the name of the drawing: the line of the advice', async () => {
    const shop = bench();
    shop.write('screen #2.svg', screen());
    const text = job().replace('screen.svg', 'screen #2.svg');
    const [, line] = /^Write (.*)\.$/.exec(nextOf(await refusal(shop, text)))!;
    await fits(shop, text.replace('drawing: screen #2.svg', line!));
  });

  it('a path with a blank: the command of the advice is one that a shell takes', async () => {
    const shop = bench();
    shop.write('my job.yaml', job());
    const { out } = await shop.call('check', 'my job.yaml');
    expect(out).toContain("reseat cut 'my job.yaml' -o FILE.svg");
  });
});

describe('a part that lies off the bed', () => {
  it('is told by fit and check, which cut then refuses', async () => {
    const shop = workshop();
    shop.write('screen.svg', screen());
    shop.write('job.yaml', job(same, ['machine: {size: [420, 500]}']).replace(/^ {2}[BC]:.*\n/gm, ''));
    for (const command of ['fit', 'check']) {
      const { out } = await shop.call(command, 'job.yaml');
      expect(out).toContain('outside-bed');
      expect(out).toMatch(/Next: move the part on the bed/);
    }
    const { said, status } = await check(shop);
    expect([status, said.verdict, said.advice[0].kind]).toEqual([1, 'too-close', 'move-part']);
    const cut = await shop.call('cut', 'job.yaml', '-o', 'cut.svg');
    expect([cut.status, /Move the part on the bed/.test(cut.err)]).toEqual([2, true]);
  });

  it('two marks whose x and y are exchanged are known by the bed’s size', async () => {
    const shop = workshop();
    shop.write('screen.svg', screen());
    const two = (change: Change) =>
      job(change, ['machine: {size: [700, 400]}']).replace(/^ {2}[CD]:.*\n/gm, '');
    shop.write(
      'job.yaml',
      two(([x, y]) => [y, x]),
    );
    const { said } = await check(shop);
    expect(said.advice[0]).toMatchObject({ kind: 'correct-readings' });
    expect(said.advice[0].message).toMatch(/^Exchange x and y in every reading/);
  });
});

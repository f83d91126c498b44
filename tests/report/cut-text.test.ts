import { describe, expect, it } from 'vitest';
import { cautionsText, cutJob, cutText, loadJob, writeCutFile } from '../../src/internal.js';
import { columns, widthOf } from '../../src/report/text/layout.js';
import { jobText, panel, placed } from '../cli/workshop.js';

const textOf = (drawing: string, job = jobText()): string => {
  const loaded = loadJob({ path: 'job.yaml', text: job }, { read: () => new TextEncoder().encode(drawing) });
  const done = cutJob(loaded);
  if (!done.ok) throw new Error(done.failure.reason);
  const said = cutText(loaded.job, 'out/panel.svg', done);
  for (const line of said.split('\n')) expect(widthOf(line)).toBeLessThanOrEqual(columns);
  return said;
};

/** Slots of 2 mm with lands between them, each 0.1 mm wider than the one before, from 1.1 mm. */
const slots = (count: number): string => {
  let x = 100;
  const drawn = Array.from({ length: count }, (_, i) => {
    const slot = `<rect id="slot-${i + 1}" x="${x.toFixed(2)}" y="30" width="2" height="40"/>`;
    x += 2 + 1.1 + 0.1 * i;
    return slot;
  });
  return panel.replace(/<rect id="window".*?\/>/, drawn.join(''));
};

describe('the cut for people', () => {
  it('sums up what was cut and where it lies on the display', () => {
    const said = textOf(panel).replace(/\s+/g, ' ');
    // Two openings: a circle of radius 10.4 and a square of 40.8.
    const metres = (2 * Math.PI * 10.4 + 4 * 40.8) / 1000;
    expect(said).toContain(`out/panel.svg: 2 paths for 2 openings, ${metres.toFixed(2)} m to cut;`);
    expect(said).toContain('new edges 0.5 mm outside the existing ones, kerf 0.2 mm, true to 0.005 mm.');
    expect(said).toContain('On the display: x 333.2 to');
    expect(said).toContain('Placed by a rigid fit to 4 marks, turned by 16.260 deg');
  });

  it('speaks of inlays where inlays are cut', () => {
    const said = textOf(panel, jobText().replace('kerf: 0.2', 'kerf: 0.2, kind: inlay')).replace(/\s+/g, ' ');
    expect(said).toContain('inlays 0.5 mm smaller all round than their openings');
  });

  it('shows the five thinnest lands, thinnest first, and counts the rest', () => {
    const said = textOf(slots(9), jobText().replace('kerf: 0.2', 'kerf: 0.2, smallest-land: 3'));
    const rows = [...said.matchAll(/^ {2}(slot-\d) +(slot-\d) +(\d\.\d\d) /gm)];
    expect(rows.map((row) => Number(row[3]))).toEqual([0.1, 0.2, 0.3, 0.4, 0.5]);
    expect(said).toContain('  and 3 more (--json lists them all)\n');
  });
});

describe('where a cut file begins', () => {
  const lineOf = (job: string): string => /Load it .*? deg/.exec(textOf(panel, job).replace(/\s+/g, ' '))![0];

  it('is the origin of the display, for the page of an SVG', () => {
    expect(lineOf(jobText())).toContain("its lower left corner at the display's 0, 0.");
    expect(lineOf(jobText())).toContain('Placed by a rigid fit');
  });

  it('is the corner of the page that is written, where coordinates are negative', () => {
    const away = jobText({
      place: (x, y) => {
        const [px, py] = placed(x, y);
        return [px - 600, py];
      },
    });
    const loaded = loadJob({ path: 'job.yaml', text: away }, { read: () => new TextEncoder().encode(panel) });
    const done = cutJob(loaded);
    if (!done.ok) throw new Error(done.failure.reason);
    const [left] = /viewBox="(-[\d.]+) 0 /.exec(writeCutFile(done.file, 'svg'))!.slice(1);
    expect(lineOf(away)).toContain(
      `its lower left corner at the display's ${Number(left).toFixed(3)}, 0.000.`,
    );
  });

  it('has the right article before the model', () => {
    expect(lineOf(jobText().replace('reading-sd: 0.06', 'reading-sd: 0.06, model: affine'))).toContain(
      'Placed by an affine fit',
    );
  });
});

describe('the last word of a cut', () => {
  const lastWord = (job: string): string => textOf(panel, job).replace(/\s+/g, ' ');

  it('is the verdict, with the call that shows where to look for proof', () => {
    expect(lastWord(jobText())).toMatch(/ It fits: .* reseat check job\.yaml $/);
  });

  it('says that a cut which does not surely fit is not proven, and why', () => {
    const tight = lastWord(jobText().replace('clearance: 0.5', 'clearance: 0.05'));
    expect(tight).toMatch(/ NOT PROVEN: too close to call it safe, .* reseat check job\.yaml $/);
    const none = lastWord(jobText().replace('clearance: 0.5', 'clearance: 0.005'));
    expect(none).toMatch(/ NOT PROVEN: it does not fit, .* reseat check job\.yaml $/);
  });

  it('speaks of readings in doubt before anything else', () => {
    const slipped = jobText().replace(/C: \[(\d+)/, (_, x) => `C: [${Number(x) + 10}`);
    expect(lastWord(slipped)).toMatch(
      / NOT PROVEN, a reading is in doubt: read again at C, .* Cut nothing before that\. $/,
    );
  });

  it('does not call proven what nothing checks', () => {
    const two = jobText()
      .replace(/^ {2}[CD]: .*\n/gm, '')
      .replace('reading-sd', 'model: similarity, reading-sd');
    expect(lastWord(two)).toContain(
      'NOT PROVEN: too close to call it safe, nothing checks the readings: a mistake of any size at marks A and B',
    );
  });
});

describe('the cautions', () => {
  it('say what a laser must not cut, and who comes first', () => {
    const said = cautionsText().replace(/\s+/g, ' ');
    for (const word of [
      'beam off',
      'extraction',
      'fire extinguisher',
      'PVC',
      'chlorine',
      'foil',
      'IEC 60825-1',
    ])
      expect(said).toContain(word);
  });
});

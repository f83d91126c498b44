import { describe, expect, it } from 'vitest';
import { jobText, workshop } from './workshop.js';

const tight = jobText().replace('clearance: 0.5', 'clearance: 0.05');
/** x of C read 5.4 mm off. */
const slipped = jobText({ disturbance: [0.05, -0.05, 5.4, -0.05] });
const nc = 'machine: {nc: {feed: 900, before-cut: M3 S200, after-cut: M5}}';

describe('a cut that is not proven', () => {
  it.each(['svg', 'dxf', 'nc'])(
    'is written, says so in the %s file and in the exit status',
    async (ending) => {
      const shop = workshop();
      shop.write('job.yaml', `${tight}${nc}\n`);
      const { status, out, err } = await shop.call('cut', 'job.yaml', '-o', `cut.${ending}`);
      expect([status, err]).toEqual([1, '']);
      expect(out).toContain('NOT PROVEN');
      const file = shop.read(`cut.${ending}`).replace(/\s+/g, ' ');
      expect(file.slice(0, 400)).toContain('NOT PROVEN');
      // The file reads as before: the same paths are in it.
      expect((await shop.call('list', `cut.${ending}`, '--json')).status).toBe(ending === 'nc' ? 2 : 0);
      shop.write('job.yaml', `${jobText()}${nc}\n`);
      expect((await shop.call('cut', 'job.yaml', '-o', `fits.${ending}`)).status).toBe(0);
      expect(shop.read(`fits.${ending}`)).not.toContain('PROVEN');
    },
  );

  it('holds no two hyphens in its comment, whatever the marks are called', async () => {
    const shop = workshop();
    shop.write('job.yaml', slipped.replace(/\bC:/g, 'C:'));
    const text = slipped
      .replace('readings:', 'marks: {A: A, B: B, "C--x": C, D: D}\nreadings:')
      .replace('  C:', '  "C--x":');
    shop.write('job.yaml', text);
    expect((await shop.call('cut', 'job.yaml', '-o', 'cut.svg', '--unproven')).status).toBe(1);
    const [comment] = /<!--.*?-->/s.exec(shop.read('cut.svg'))!;
    expect(comment).toContain('C-x');
    expect(comment.slice(4, -3)).not.toContain('--');
  });

  it('is told as such by --json, with the reason', async () => {
    const shop = workshop();
    shop.write('job.yaml', tight);
    const said = JSON.parse((await shop.call('cut', 'job.yaml', '-o', 'cut.svg', '--json')).out);
    expect(said.verdict).toBe('too-close');
    expect(said.unproven).toMatch(/^Too close to call it safe\. /);
  });

  it('is not written at all where the readings contradict each other grossly, unless that is asked for', async () => {
    const shop = workshop();
    shop.write('job.yaml', slipped);
    shop.write('cut.svg', 'old');
    const refused = await shop.call('cut', 'job.yaml', '-o', 'cut.svg', '--force');
    expect(refused.status).toBe(2);
    expect(refused.err).toMatch(/found: +readings that contradict each other: mark C lies/);
    expect(refused.err).toMatch(/next: +Read again at C/);
    expect(refused.err).toContain('--unproven');
    expect(shop.read('cut.svg')).toBe('old');
    // Either word for itself: one is about the file that is there, the other about the readings.
    expect((await shop.call('cut', 'job.yaml', '-o', 'cut.svg', '--unproven')).status).toBe(2);
    const forced = await shop.call('cut', 'job.yaml', '-o', 'cut.svg', '--unproven', '--force');
    expect(forced.status).toBe(1);
    expect(shop.read('cut.svg')).toContain('NOT PROVEN');
  });

  it('beyond the clearance is refused where no sd is stated', async () => {
    const shop = workshop();
    const text = jobText({ disturbance: [0.7, -0.7, 0.7, -0.7] }).replace('fit: {reading-sd: 0.06}', '');
    shop.write('job.yaml', text);
    const { status, err } = await shop.call('cut', 'job.yaml', '-o', 'cut.svg');
    expect(status).toBe(2);
    expect(err).toContain('more than the clearance of 0.50 mm');
    expect(shop.files()).not.toContain('cut.svg');
  });
});

describe('the verdict of a job that fits by its figures', () => {
  it('is not "fits" while a reading is doubted, in text, --json and exit status alike', async () => {
    const shop = workshop();
    // The clearance would swallow the mistake.
    shop.write('job.yaml', slipped.replace('clearance: 0.5', 'clearance: 12'));
    const text = await shop.call('check', 'job.yaml');
    expect(text.status).toBe(1);
    expect(text.out).not.toMatch(/^it fits/im);
    const check = JSON.parse((await shop.call('check', 'job.yaml', '--json')).out);
    expect(check.verdict).toBe('too-close');
    expect(check.openings.map((o: { verdict: string }) => o.verdict)).not.toContain('fits');
    expect(check.explanation).toMatch(/^A reading is in doubt, at C\. /);
    expect(check.advice[0]).toMatchObject({ kind: 'read-again', marks: ['C'] });
  });

  it('is not "fits" where the readings reject the stated sd', async () => {
    const shop = workshop();
    shop.write('job.yaml', jobText({ disturbance: [0.2, -0.2, 0.2, -0.2] }));
    const { status, out } = await shop.call('check', 'job.yaml', '--json');
    const check = JSON.parse(out);
    expect(check.fit.consistency.consistent).toBe(false);
    expect([status, check.verdict]).toEqual([1, 'too-close']);
  });

  it('says in its own sentence what two marks cannot show', async () => {
    const shop = workshop();
    const more = 'machine: {axes: y-up}';
    const two = jobText({ disturbance: [0, 0, 0, 0], more }).replace(/^ {2}[CD]:.*\n/gm, '');
    shop.write('job.yaml', two.replace('clearance: 0.5', 'clearance: 2'));
    const check = JSON.parse((await shop.call('check', 'job.yaml', '--json')).out);
    expect(check.verdict).toBe('fits');
    expect(check.explanation).toMatch(/^Only if both readings are right: .* would not show\./);
    const { out } = await shop.call('check', 'job.yaml');
    expect(out).toContain('It fits: only if both readings are right');
    expect(out).not.toMatch(/^A mistake of/m);
  });

  it('is not "fits" where nothing checks the readings', async () => {
    const shop = workshop();
    const two = jobText({ disturbance: [0, 0, 0, 0] })
      .replace(/^ {2}[CD]:.*\n/gm, '')
      .replace('{reading-sd', '{model: similarity, reading-sd')
      .replace('clearance: 0.5', 'clearance: 2');
    shop.write('job.yaml', two);
    const { status, out } = await shop.call('check', 'job.yaml', '--json');
    const check = JSON.parse(out);
    expect([status, check.verdict]).toEqual([1, 'too-close']);
    expect(check.explanation).toMatch(/^Nothing checks the readings: a mistake of any size/);
    expect(check.advice[0].kind).toBe('further-reading');
  });
});

describe('readings that agree to their last digit, with no sd stated', () => {
  const lines = (readings: readonly string[]): string =>
    [
      'drawing: panel.svg',
      'marks: {A: [10, 10], B: [190, 10], C: [190, 90]}',
      'readings:',
      ...readings.map((at, i) => `  ${'ABC'[i]}: ${at}`),
      'cut: {clearance: 0.1}',
      '',
    ].join('\n');

  it('tell nothing of how well a reading is known, so no verdict is claimed', async () => {
    const shop = workshop();
    shop.write('job.yaml', lines(['[110.3, 70.3]', '[290.3, 70.3]', '[290.3, 150.3]']));
    const { status, out } = await shop.call('check', 'job.yaml');
    expect(status).toBe(1);
    expect(out).toContain('agree to the last digit');
    expect(out).not.toMatch(/needed 0\.00|A mistake of 0\.00/);
    const check = JSON.parse((await shop.call('check', 'job.yaml', '--json')).out);
    expect(check).toMatchObject({ verdict: 'too-close', risk: null, neededClearance: null });
    expect(check.advice[0].kind).toBe('state-sd');
  });

  it('differ by more than that digit, and the sd is taken from them as before', async () => {
    const shop = workshop();
    shop.write('job.yaml', lines(['[110.31, 70.28]', '[290.25, 70.33]', '[290.34, 150.3]']));
    const check = JSON.parse((await shop.call('check', 'job.yaml', '--json')).out);
    expect(check.neededClearance).toBeGreaterThan(0.05);
  });
});

import { describe, expect, it } from 'vitest';
import { columns, widthOf } from '../../src/report/text/layout.js';
import { jobText, workshop } from './workshop.js';

const tight = jobText().replace('clearance: 0.5', 'clearance: 0.05');
const hopeless = jobText().replace('clearance: 0.5', 'clearance: 0.005');

describe('reseat check --json', () => {
  it('prints the contract for one job on one line', async () => {
    const { status, out, err } = await workshop().call('check', '--json', 'job.yaml');
    expect([status, err]).toEqual([0, '']);
    expect(out.split('\n')).toHaveLength(2);
    const check = JSON.parse(out);
    expect(Object.keys(check)).toEqual([
      'schemaVersion',
      'job',
      'verdict',
      'risk',
      'riskUnknown',
      'acceptedRisk',
      'neededClearance',
      'neededWithKnownSd',
      'clearance',
      'edgeSd',
      'openings',
      'explanation',
      'advice',
      'witness',
      'assumptions',
      'cutLoss',
      'reliability',
      'fit',
      'warnings',
    ]);
    expect(check).toMatchObject({
      job: 'job.yaml',
      verdict: 'fits',
      acceptedRisk: 0.05,
      clearance: 0.5,
      fit: { job: 'job.yaml', model: 'rigid' },
    });
    expect(check.risk).toBeLessThan(0.05);
    expect(check.neededClearance).toBeGreaterThan(0);
    expect(check.openings.map((o: { id: string }) => o.id)).toEqual(['moon', 'window']);
    expect(Object.keys(check.openings[0])).toEqual([
      'id',
      'verdict',
      'risk',
      'margin',
      'neededClearance',
      'worstPoint',
      'predictedError',
    ]);
  });

  it('gives the worst point where the pointer would stand over it', async () => {
    const shop = workshop();
    const down = (x: number, y: number): [number, number] => [x + 20, 400 - (y + 30)];
    shop.write('job.yaml', jobText({ place: down, more: 'machine: {axes: y-down}' }));
    const check = JSON.parse((await shop.call('check', '--json', 'job.yaml')).out);
    const [x, y] = check.openings[0].worstPoint;
    // A point of the moon's rim, radius 10 about (60, 50).
    expect(Math.hypot(x - 80, y - 320)).toBeCloseTo(10, 2);
  });

  it('carries what to do next with figures, and where to look, whatever the verdict', async () => {
    const shop = workshop();
    const down = (x: number, y: number): [number, number] => [x + 20, 400 - (y + 30)];
    for (const clearance of ['0.5', '0.05', '0.005']) {
      const text = jobText({ place: down, more: 'machine: {axes: y-down}' });
      shop.write('job.yaml', text.replace('clearance: 0.5', `clearance: ${clearance}`));
      const check = JSON.parse((await shop.call('check', '--json', 'job.yaml')).out);
      expect(check.riskUnknown).toBeNull();
      expect(check.advice.length > 0).toBe(check.verdict !== 'fits');
      for (const advice of check.advice) {
        expect(Object.keys(advice)).toEqual(['kind', 'message', 'neededClearance', 'marks', 'set', 'at']);
        expect(advice.neededClearance).toBeGreaterThan(0);
      }
      expect(check.witness.length).toBeGreaterThanOrEqual(3);
      for (const { design, at, allowed } of check.witness) {
        const [x, y] = down(design[0], design[1]);
        expect(Math.hypot(at[0] - x, at[1] - y)).toBeLessThan(allowed);
      }
      expect(check.reliability.map((r: { mark: string }) => r.mark)).toEqual(['A', 'B', 'C', 'D']);
      for (const { smallestDetectable, approach } of check.reliability) {
        expect(smallestDetectable).toBeGreaterThan(approach);
        expect(approach).toBeGreaterThan(0);
      }
    }
  });

  it('says why there is no risk where none can be told', async () => {
    const shop = workshop();
    const text = jobText()
      .replace(/reading-sd: [\d.]+/, 'model: affine')
      .replace(/^ {2}D: .*\n/m, '');
    shop.write('job.yaml', text);
    const { status, out } = await shop.call('check', '--json', 'job.yaml');
    expect(status).toBe(1);
    const check = JSON.parse(out);
    expect([check.verdict, check.risk]).toEqual(['too-close', null]);
    expect(check.riskUnknown).toMatch(/without redundancy/);
    expect(check.advice[0].kind).toBe('state-sd');
    expect(check.reliability[0]).toEqual({
      mark: 'A',
      smallestDetectable: null,
      approach: null,
      opening: null,
    });
  });

  it('gives the same figures each time', async () => {
    const shop = workshop();
    const first = await shop.call('check', '--json', 'job.yaml');
    expect(await shop.call('check', '--json', 'job.yaml')).toEqual(first);
  });

  it('says null where no uncertainty can be claimed, and does not call that a fit', async () => {
    const shop = workshop();
    const unstated = jobText()
      .replace(/^ {2}[CD]:.*\n/gm, '')
      .replace('fit: {reading-sd: 0.06}', 'fit: {model: similarity}');
    shop.write('job.yaml', unstated);
    const { status, out } = await shop.call('check', '--json', 'job.yaml');
    expect(status).toBe(1);
    const check = JSON.parse(out);
    expect(check).toMatchObject({ verdict: 'too-close', risk: null, neededClearance: null });
    expect(check.openings[0]).toMatchObject({ risk: null, neededClearance: null, predictedError: null });
  });
});

describe('the exit status of reseat check', () => {
  it('is 0 where the error fits, 1 where it does not or cannot be promised', async () => {
    const shop = workshop();
    shop.write('tight.yaml', tight);
    shop.write('hopeless.yaml', hopeless);
    const called = async (job: string) => {
      const { status, out } = await shop.call('check', '--json', job);
      return [status, JSON.parse(out).verdict];
    };
    expect(await called('job.yaml')).toEqual([0, 'fits']);
    expect(await called('tight.yaml')).toEqual([1, 'too-close']);
    expect(await called('hopeless.yaml')).toEqual([1, 'does-not-fit']);
    expect((await shop.call('check', 'job.yaml', 'tight.yaml')).status).toBe(1);
  });

  it('is 2 for wrong input and 3 without solution, whatever the other jobs say', async () => {
    const shop = workshop();
    shop.write('tight.yaml', tight);
    shop.write('one-mark.yaml', jobText().replace(/^ {2}[BCD]:.*\n/gm, ''));
    expect((await shop.call('check', 'tight.yaml', 'one-mark.yaml')).status).toBe(3);
    expect((await shop.call('check', 'tight.yaml', 'one-mark.yaml', 'nope.yaml')).status).toBe(2);
  });
});

describe('reseat check', () => {
  it('tells a person the verdict, where to look and what to do, in 80 columns and without colour', async () => {
    const shop = workshop();
    shop.write('tight.yaml', tight);
    const { out } = await shop.call('check', 'job.yaml', 'tight.yaml');
    const [fits, touches] = out.split('\n\ntight.yaml\n');
    expect(fits).toMatch(/^It fits/m);
    expect(fits).toContain('Next: drive the pointer');
    expect(touches).toMatch(/^Too close/m);
    expect(touches).toMatch(/^Next: a clearance of/m);
    expect(touches).not.toContain('reseat cut');
    expect(out).not.toContain('\u001b');
    for (const line of out.split('\n')) expect(widthOf(line)).toBeLessThanOrEqual(columns);
  });
});

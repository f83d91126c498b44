import { describe, expect, it } from 'vitest';
import { updateProfile } from '../../src/calibration/profile.js';
import { readProfileText } from '../../src/job/read/read-machine.js';
import { jobOf, least, messageOf } from './message-of.js';

const ncOf = (text: string) => readProfileText('bench.yaml', text).nc;

const full = `name: Bench # the small one
nc:
  feed: 1200 # mm per minute
  before-cut: [M3 S400, G4 P0.1]
  after-cut: M5 # beam off
  first-lines:
    - "%"
    - G54
  last-lines: M2
  decimals: 3
  arcs: false
kerf: 0.2
`;

describe('nc in a machine profile', () => {
  it('holds feed, the lines before and after each cut, and those of the file', () => {
    expect(ncOf(full)).toEqual({
      feed: 1200,
      beforeCut: ['M3 S400', 'G4 P0.1'],
      afterCut: ['M5'],
      firstLines: ['%', 'G54'],
      lastLines: ['M2'],
      decimals: 3,
      arcs: false,
    });
  });

  it('makes up neither feed nor tool words', () => {
    expect(ncOf('nc: {}')).toEqual({ firstLines: [], lastLines: [], decimals: 4, arcs: true });
    expect(ncOf('name: Bench')).toBeUndefined();
  });

  it('is overridden key by key in a job', () => {
    const job = jobOf(`${least}machine: {profile: bench.yaml, nc: {feed: 300}}`, { 'bench.yaml': full });
    expect(job.machine.nc).toMatchObject({ feed: 300, beforeCut: ['M3 S400', 'G4 P0.1'], decimals: 3 });
  });

  it.each([
    [
      'nc: {speed: 3}',
      'the unknown key "speed" in nc; expected feed, before-cut, after-cut, first-lines, last-lines, decimals or arcs',
    ],
    ['nc: {feed: 0}', 'nc.feed is 0; expected a number in mm per minute, above 0'],
    ['nc: {feed: fast}', 'nc.feed is "fast"; expected a number in mm per minute'],
    ['nc: {decimals: 2}', 'nc.decimals is 2; expected a number, 3 or more'],
    ['nc: {decimals: 3.5}', 'nc.decimals is 3.5; expected a whole number'],
    ['nc: {arcs: maybe}', 'nc.arcs is "maybe"; expected true or false'],
    ['nc: {before-cut: []}', 'nc.before-cut is an empty list; expected at least one line'],
    ['nc: {before-cut: "M3 ß"}', 'nc.before-cut is "M3 ß"; expected at most 80 plain characters (ASCII)'],
    [`nc: {last-lines: ${'M'.repeat(81)}}`, 'expected at most 80 plain characters (ASCII)'],
    ['nc: {before-cut: M3 G91}', 'expected words that switch the tool, without G91: it would move the head'],
    ['nc: {after-cut: [M5, "g0 x0 Y0"]}', 'without X0: it would move the head'],
    ['nc: {before-cut: G020 M3}', 'without G20'],
  ])('refuses %s', (text, message) => {
    expect(messageOf(() => ncOf(text))).toContain(message);
  });

  it.each([
    ['tool-on: M3', 'before-cut'],
    ['tool-off: M5', 'after-cut'],
    ['header: [G94]', 'first-lines'],
    ['footer: M2', 'last-lines'],
  ])('names the key that stands for the former one, as for %s', (line, now) => {
    expect(messageOf(() => ncOf(`nc: {${line}}`))).toContain(`Write "${now}"`);
  });

  it('takes a plunge and comments for tool words', () => {
    expect(ncOf('nc: {before-cut: ["G1 Z-2 F100 (down to X)", "M3 ; not G91"]}')!.beforeCut).toHaveLength(2);
  });

  it('survives a calibration that writes into the profile, comments and all', () => {
    const { text } = updateProfile(
      { path: 'bench.yaml', text: full },
      { part: 'kerf', set: { kerf: 0.214, 'kerf-sd': 0.008 }, remove: [] },
      '2026-11-25',
    );
    expect(ncOf(text)).toEqual(ncOf(full));
    const own = full.slice(full.indexOf('nc:'), full.indexOf('kerf:'));
    expect(text).toContain(own);
    const again = updateProfile(
      { path: 'bench.yaml', text },
      { part: 'pointer', set: { 'reading-sd': 0.05 }, remove: [] },
      '2026-11-26',
    );
    expect(ncOf(again.text)).toEqual(ncOf(full));
  });
});

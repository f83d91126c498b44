import { describe, expect, test } from 'vitest';
import { jobOf, least, messageOf } from './message-of.js';

describe('Numbers that make no sense are refused with the cure', () => {
  test.each<[what: string, text: string, message: string, files?: Record<string, string>]>([
    [
      'not a number',
      `${least}cut: {clearance: .nan}`,
      'jobs/fern.yaml:3:18 (cut.clearance) cut.clearance is .nan; expected a finite number in mm, 0 or more. Write an ordinary decimal number.',
    ],
    [
      'minus infinity',
      `${least}cut: {kerf: -.inf}`,
      'jobs/fern.yaml:3:13 (cut.kerf) cut.kerf is -.inf; expected a finite number in mm, 0 or more. Write an ordinary decimal number.',
    ],
    [
      'a number beyond double precision',
      `${least}cut: {clearance: 1e999}`,
      'jobs/fern.yaml:3:18 (cut.clearance) cut.clearance is 1e999; expected a finite number in mm, 0 or more. Write an ordinary decimal number.',
    ],
    [
      'a reading beyond double precision',
      'drawing: a\nreadings: {A: [1e999, 2]}',
      'jobs/fern.yaml:2:16 (readings.A[1]) readings.A[1] is 1e999; expected a finite number in mm. Write an ordinary decimal number.',
    ],
    [
      'a negative clearance',
      `${least}cut: {clearance: -0.5}`,
      'jobs/fern.yaml:3:18 (cut.clearance) cut.clearance is -0.5; expected a number in mm, 0 or more. Write the distance without a sign; "kind" says to which side of the edge it goes.',
    ],
    [
      'a negative sd of a reading',
      `${least}fit: {reading-sd: -0.1}`,
      'jobs/fern.yaml:3:19 (fit.reading-sd) fit.reading-sd is -0.1; expected a number in mm, above 0. Write how far one reading strays, such as 0.08, or remove the key: it is then estimated.',
    ],
    [
      'a reading without any error',
      `${least}fit: {reading-sd: 0}`,
      'jobs/fern.yaml:3:19 (fit.reading-sd) fit.reading-sd is 0; expected a number in mm, above 0. Write how far one reading strays, such as 0.08, or remove the key: it is then estimated.',
    ],
    [
      'a negative sd of a mark',
      `${least}fit: {mark-sd: -1}`,
      'jobs/fern.yaml:3:16 (fit.mark-sd) fit.mark-sd is -1; expected a number in mm, 0 or more. Correct the number.',
    ],
    [
      'no degrees of freedom',
      `${least}fit: {reading-sd: 0.1, reading-sd-dof: 0}`,
      'jobs/fern.yaml:3:40 (fit.reading-sd-dof) fit.reading-sd-dof is 0; expected a number, 1 or more and 1000000 or less. Correct the number.',
    ],
    [
      'more degrees of freedom than any sd has',
      `${least}fit: {reading-sd: 0.1, reading-sd-dof: 1e12}`,
      'jobs/fern.yaml:3:40 (fit.reading-sd-dof) fit.reading-sd-dof is 1e12; expected a number, 1 or more and 1000000 or less. Correct the number.',
    ],
    [
      'an accepted risk that no model can tell from none',
      `${least}check: {accepted-risk: 1e-17}`,
      'jobs/fern.yaml:3:24 (check.accepted-risk) check.accepted-risk is 1e-17; expected a number, 0.000001 or more and 0.5 or less. Write 5 % as 0.05.',
    ],
    [
      'degrees of freedom without their sd',
      `${least}fit: {reading-sd-dof: 5}`,
      'jobs/fern.yaml:3:23 (fit.reading-sd-dof) fit.reading-sd-dof is 5; expected "reading-sd" beside it. State the reading-sd that these degrees of freedom belong to.',
    ],
    [
      'a tolerance of nothing',
      `${least}cut: {tolerance: 0}`,
      'jobs/fern.yaml:3:18 (cut.tolerance) cut.tolerance is 0; expected a number in mm, 0.0001 or more and 1 or less. Correct the number.',
    ],
    [
      'a mitre limit below 1',
      `${least}cut: {mitre-limit: 0.5}`,
      'jobs/fern.yaml:3:20 (cut.mitre-limit) cut.mitre-limit is 0.5; expected a number, 1 or more and 1000 or less. Write 4 for the usual limit, or "corners: round".',
    ],
    [
      'a negative kerf',
      `${least}cut: {kerf: -0.1}`,
      'jobs/fern.yaml:3:13 (cut.kerf) cut.kerf is -0.1; expected a number in mm, 0 or more. Correct the number.',
    ],
    [
      'a negative land',
      `${least}cut: {smallest-land: -1}`,
      'jobs/fern.yaml:3:22 (cut.smallest-land) cut.smallest-land is -1; expected a number in mm, 0 or more. Correct the number.',
    ],
    [
      'an accepted risk of 0',
      `${least}check: {accepted-risk: 0}`,
      'jobs/fern.yaml:3:24 (check.accepted-risk) check.accepted-risk is 0; expected a number, 0.000001 or more and 0.5 or less. Write 5 % as 0.05.',
    ],
    [
      'an accepted risk of 1',
      `${least}check: {accepted-risk: 1}`,
      'jobs/fern.yaml:3:24 (check.accepted-risk) check.accepted-risk is 1; expected a number, 0.000001 or more and 0.5 or less. Write 5 % as 0.05.',
    ],
    [
      'an accepted risk in per cent',
      `${least}check: {accepted-risk: 5}`,
      'jobs/fern.yaml:3:24 (check.accepted-risk) check.accepted-risk is 5; expected a number, 0.000001 or more and 0.5 or less. Write 5 % as 0.05.',
    ],
    [
      'a negative sd of the cut',
      `${least}check: {cut-sd: -1}`,
      'jobs/fern.yaml:3:17 (check.cut-sd) check.cut-sd is -1; expected a number in mm, 0 or more. Correct the number.',
    ],
    [
      'a negative sd of the kerf',
      `${least}check: {kerf-sd: -1}`,
      'jobs/fern.yaml:3:18 (check.kerf-sd) check.kerf-sd is -1; expected a number in mm, 0 or more. Correct the number.',
    ],
    [
      'a negative kerf of the pierced edges',
      `${least}pierced: {kerf: -0.1}`,
      'jobs/fern.yaml:3:17 (pierced.kerf) pierced.kerf is -0.1; expected a number in mm, 0 or more. Correct the number.',
    ],
    [
      'a decimal comma',
      `${least}cut:\n  clearance: 0,5`,
      'jobs/fern.yaml:4:14 (cut.clearance) cut.clearance is "0,5"; expected a number in mm, 0 or more. Write the decimal point as a point: 0.5.',
    ],
    [
      'a decimal comma in braces',
      `${least}cut: {clearance: 0,5, kerf: 0,5}`,
      'jobs/fern.yaml:3:20 (cut.clearance) a decimal comma: "clearance: 0,5"; expected a decimal point: in braces a comma begins the next key. Write clearance: 0.5.',
    ],
    [
      'a comma in quotes that may set off thousands',
      `${least}cut: {clearance: "1,250"}`,
      'jobs/fern.yaml:3:18 (cut.clearance) cut.clearance is "1,250"; expected a number in mm, 0 or more. Write 1.250 if that is a decimal comma, 1250 if it sets off thousands.',
    ],
    [
      'a number with its unit',
      `${least}cut: {clearance: 0.5 mm}`,
      'jobs/fern.yaml:3:18 (cut.clearance) cut.clearance is "0.5 mm"; expected a number in mm, 0 or more. Write the bare number: 0.5.',
    ],
    [
      'a number in inches',
      `${least}cut: {clearance: 0.5in}`,
      'jobs/fern.yaml:3:18 (cut.clearance) cut.clearance is "0.5in"; expected a number in mm, 0 or more. Convert it to mm and write the bare number.',
    ],
    [
      'a word for a number',
      `${least}cut: {clearance: half}`,
      'jobs/fern.yaml:3:18 (cut.clearance) cut.clearance is "half"; expected a number in mm, 0 or more. Write digits with a decimal point.',
    ],
    [
      'a list for a number',
      `${least}cut: {clearance: [1]}`,
      'jobs/fern.yaml:3:18 (cut.clearance) cut.clearance is a list of one value; expected a number in mm, 0 or more. Write one number behind the colon, or remove the key.',
    ],
    [
      'true for a number',
      `${least}cut: {clearance: true}`,
      'jobs/fern.yaml:3:18 (cut.clearance) cut.clearance is true; expected a number in mm, 0 or more. Write one number behind the colon, or remove the key.',
    ],
    [
      'a coordinate a hundred metres out',
      'drawing: a\nreadings: {A: [100001, 2]}',
      'jobs/fern.yaml:2:16 (readings.A[1]) readings.A[1] is 100001; expected a number in mm, -100000 or more and 100000 or less. Correct the number.',
    ],
    [
      'a coordinate a kilometre the other way',
      'drawing: a\nreadings: {A: [2, -1e6]}',
      'jobs/fern.yaml:2:19 (readings.A[2]) readings.A[2] is -1e6; expected a number in mm, -100000 or more and 100000 or less. Correct the number.',
    ],
    [
      'a clearance of a kilometre',
      `${least}cut: {clearance: 1e6}`,
      'jobs/fern.yaml:3:18 (cut.clearance) cut.clearance is 1e6; expected a number in mm, 0 or more and 1000 or less. Write the distance without a sign; "kind" says to which side of the edge it goes.',
    ],
  ])('%s', (_what, text, message, files) => {
    expect(messageOf(() => jobOf(text, files))).toBe(message);
  });
});

/**
 * The keys of a job file at its top, in the order in which a file has them that is written from
 * nothing.
 */
export const jobKeys = [
  'title',
  'date',
  'drawing',
  'units',
  'dpi',
  'join',
  'face',
  'roles',
  'marks',
  'readings',
  'touches',
  'witness',
  'machine',
  'fit',
  'pierced',
  'cut',
  'film',
  'material',
  'check',
  'plan',
  'gaps',
  'gap-sd',
] as const;

/**
 * Entities that are no edges to cut, and why each is left out. Names after the published DXF
 * reference, from memory.
 */
const text = 'text is not an edge that could be cut';
const annotation = 'it is an annotation, not an edge';
const solid = 'it is a body or surface in space';
const filled = 'it is a filled area; draw its outline as a polyline';
const picture = 'it is a picture or another document';
const endless = 'it has no end';

export const unreadTypes: ReadonlyMap<string, string> = new Map([
  ['TEXT', text],
  ['MTEXT', text],
  ['ATTRIB', text],
  ['ATTDEF', text],
  ['ARCALIGNEDTEXT', text],
  ['RTEXT', text],
  ['DIMENSION', annotation],
  ['ARC_DIMENSION', annotation],
  ['LARGE_RADIAL_DIMENSION', annotation],
  ['LEADER', annotation],
  ['MULTILEADER', annotation],
  ['MLEADER', annotation],
  ['TOLERANCE', annotation],
  ['ACAD_TABLE', annotation],
  ['GEOPOSITIONMARKER', annotation],
  ['MPOLYGON', filled],
  ['SOLID', filled],
  ['TRACE', filled],
  ['WIPEOUT', filled],
  ['IMAGE', picture],
  ['PDFUNDERLAY', picture],
  ['DWFUNDERLAY', picture],
  ['DGNUNDERLAY', picture],
  ['OLEFRAME', picture],
  ['OLE2FRAME', picture],
  ['VIEWPORT', 'it is a window of a sheet'],
  ['3DFACE', solid],
  ['3DSOLID', solid],
  ['BODY', solid],
  ['REGION', 'it is a region, whose form is not readable; explode it into lines and arcs'],
  ['MESH', solid],
  ['SURFACE', solid],
  ['PLANESURFACE', solid],
  ['EXTRUDEDSURFACE', solid],
  ['LOFTEDSURFACE', solid],
  ['REVOLVEDSURFACE', solid],
  ['SWEPTSURFACE', solid],
  ['NURBSURFACE', solid],
  ['HELIX', solid],
  ['LIGHT', 'it is a lamp'],
  ['CAMERA', 'it is a camera'],
  ['SECTIONOBJECT', 'it is a plane that cuts a body'],
  ['RAY', endless],
  ['XLINE', endless],
  ['MLINE', 'it is a bundle of parallel lines; explode it into lines'],
  ['SHAPE', 'its form is in another file'],
  ['POINT', 'a point has no length; draw a mark as a circle or a cross'],
  ['ACAD_PROXY_ENTITY', 'only the program that drew it knows its form'],
  ['ACAD_PROXY_OBJECT', 'only the program that drew it knows its form'],
]);

export const unknownType = 'this reader does not know the entity';

"""What another reader (ezdxf) makes of DXF files: count, length and box of the edges of each layer.

Called with file names, prints one JSON object: {file: {"units": $INSUNITS, "layers": {NAME: [count, length, box]}}},
everything in the units of the file. Entities are followed through inserts by ezdxf's own matrices, points of
curves come from ezdxf's own tools, 0.015 rad apart or nearer, and the chords between them are measured.
"""
import json
import math
import sys
from operator import sub

import ezdxf
from ezdxf import recover
from ezdxf.math import Matrix44, Vec2, Vec3, bulge_to_arc

FINE = 0.015
SLOPE = 1e-3


def level(points):
    rise = max(p.z for p in points) - min(p.z for p in points)
    reach = max(
        max(p.x for p in points) - min(p.x for p in points),
        max(p.y for p in points) - min(p.y for p in points),
    )
    return rise <= SLOPE * reach


def upright(entity):
    n = Vec3(entity.dxf.get('extrusion', (0, 0, 1))).normalize()
    return math.hypot(n.x, n.y) <= 1e-6


def steps_for(sweep):
    return max(32, math.ceil(sweep / FINE))


def along(entity, start, sweep, radians):
    n = steps_for(radians)
    return [Vec3(p) for p in entity.vertices(start + sweep * i / n for i in range(n + 1))]


def bulged(points, closed):
    """Points along vertices (x, y, bulge)."""
    if not points:
        return []
    run = [Vec2(points[0][:2])]
    pairs = list(zip(points, points[1:]))
    if closed:
        pairs.append((points[-1], points[0]))
    for (x0, y0, bulge), (x1, y1, _) in pairs:
        a, b = Vec2(x0, y0), Vec2(x1, y1)
        if bulge != 0 and a != b:
            centre, start, end, radius = bulge_to_arc(a, b, bulge)
            sweep = (end - start) % math.tau
            steps = steps_for(sweep)
            angles = [start + sweep * i / steps for i in range(1, steps)]
            if bulge < 0:
                angles.reverse()
            run += [centre + Vec2(math.cos(t), math.sin(t)) * radius for t in angles]
        run.append(b)
    return run


def in_world(entity, flat, elevation):
    ocs = entity.ocs()
    return [Vec3(ocs.to_wcs(Vec3(p.x, p.y, elevation))) for p in flat]


def points_of(entity):
    """Points along an edge, or None for what is no edge."""
    kind = entity.dxftype()
    dxf = entity.dxf
    if kind == 'LINE':
        points = [Vec3(dxf.start), Vec3(dxf.end)]
        return points if level(points) else None
    if kind in ('CIRCLE', 'ARC'):
        if not upright(entity) or dxf.radius <= 0:
            return None
        start, end = (dxf.start_angle, dxf.end_angle) if kind == 'ARC' else (0, 360)
        if start == end:
            return None
        sweep = (end - start) % 360 or 360
        return along(entity, start, sweep, math.radians(sweep))
    if kind == 'ELLIPSE':
        size = Vec3(dxf.major_axis).magnitude
        if not upright(entity) or size == 0:
            return None
        # Of a whole ellipse that does not start at 0 the flattening of ezdxf 0.18.1 gives nothing; its vertices are right.
        sweep = (dxf.end_param - dxf.start_param) % math.tau
        if min(sweep, math.tau - sweep) < 1e-6:
            sweep = math.tau
        return along(entity, dxf.start_param, sweep, sweep)
    if kind == 'LWPOLYLINE':
        if not upright(entity):
            return None
        flat = bulged([tuple(p) for p in entity.get_points('xyb')], entity.closed)
        return in_world(entity, flat, dxf.elevation)
    if kind == 'POLYLINE':
        vertices = [v for v in entity.vertices if not v.dxf.flags & 16]
        if entity.is_3d_polyline:
            points = [Vec3(v.dxf.location) for v in vertices]
            if points and entity.is_closed:
                points.append(points[0])
            return points if points and level(points) else None
        if not entity.is_2d_polyline or not upright(entity):
            return None
        corners = [(v.dxf.location.x, v.dxf.location.y, v.dxf.get('bulge', 0)) for v in vertices]
        elevation = Vec3(dxf.get('elevation', (0, 0, 0))).z
        return in_world(entity, bulged(corners, entity.is_closed), elevation)
    if kind == 'SPLINE':
        curve = entity.construction_tool()
        control = [Vec3(p) for p in curve.control_points]
        if not level(control):
            return None
        if entity.control_points:
            # The curve is defined between these knots only, which ezdxf leaves to the file.
            knots, degree, n = curve.knots(), curve.degree, len(control)
            low, high = knots[degree], knots[n]
            spans = sorted({k for k in knots if low <= k <= high})
            t = [a + (b - a) * i / 100 for a, b in zip(spans, spans[1:]) for i in range(100)] + [high]
            return [Vec3(p) for p in curve.points(t)]
        return [Vec3(p) for p in curve.flattening(1e-5, 64)]
    return None


class Sum:
    def __init__(self):
        self.count = 0
        self.length = 0.0
        self.box = [math.inf, math.inf, -math.inf, -math.inf]

    def add(self, points):
        x = [p.x for p in points]
        y = [p.y for p in points]
        length = sum(map(math.hypot, map(sub, x[1:], x), map(sub, y[1:], y)))
        if length == 0:
            return
        self.count += 1
        self.length += length
        b = self.box
        self.box = [min(b[0], *x), min(b[1], *y), max(b[2], *x), max(b[3], *y)]


def walk(doc, entities, matrix, inherited, layers, known):
    for entity in entities:
        dxf = entity.dxf
        if dxf.get('invisible', 0) or dxf.get('paperspace', 0):
            continue
        layer = dxf.get('layer', '0')
        if layer == '0' and inherited is not None:
            layer = inherited
        table = doc.layers.get(layer) if doc.layers.has_entry(layer) else None
        if table is not None and table.is_frozen():
            continue
        if entity.dxftype() == 'INSERT':
            block = entity.block()
            if block is None or not upright(entity) or dxf.get('xscale', 1) * dxf.get('yscale', 1) == 0:
                continue
            many = entity.mcount > 1
            for single in entity.multi_insert() if many else [entity]:
                walk(doc, block, single.matrix44() * matrix, layer, layers, known)
            continue
        if layer.upper() == 'DEFPOINTS' or (table is not None and (table.is_off() or not table.dxf.get('plot', 1))):
            continue
        if entity not in known:
            known[entity] = points_of(entity)
        points = known[entity]
        if points and len(points) > 1:
            layers.setdefault(layer.upper(), Sum()).add(list(matrix.transform_vertices(points)))


def expected(path):
    try:
        doc = ezdxf.readfile(path)
    except (ezdxf.DXFError, UnicodeDecodeError):
        doc, _ = recover.readfile(path)
    layers = {}
    walk(doc, doc.modelspace(), Matrix44(), None, layers, {})
    return {
        'units': doc.header.get('$INSUNITS', 0),
        'layers': {name: [s.count, s.length, s.box] for name, s in layers.items() if s.count > 0},
    }


print(json.dumps({path: expected(path) for path in sys.argv[1:]}))

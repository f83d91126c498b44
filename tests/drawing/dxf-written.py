"""Writes one drawing by another program (ezdxf) in every version and both forms of DXF, into the folder given.

The drawing has every kind of edge, some seen from behind, blocks in blocks with uneven and negative scales, arrays, layers
that are frozen or off, and a layer with a name beyond ASCII.
"""
import os
import random
import sys

import ezdxf

folder = sys.argv[1]
BEHIND = {'extrusion': (0, 0, -1)}


def fill(space, rng, modern):
    """Edges of every kind, on layers in turn."""
    layers = ['0', 'openings', 'Rückseite', 'frozen', 'off']

    def where():
        return {'layer': rng.choice(layers), 'color': rng.choice([256, 0, 1, 5])}

    def at():
        return (rng.uniform(-200, 200), rng.uniform(-200, 200))

    for facing in ({}, BEHIND):
        space.add_line(at(), at(), dxfattribs=where())
        space.add_circle(at(), rng.uniform(1, 40), dxfattribs={**where(), **facing})
        space.add_arc(at(), rng.uniform(1, 40), rng.uniform(-360, 360), rng.uniform(0, 360), dxfattribs={**where(), **facing})
        vertices = [(*at(), rng.choice([0, 0, 0.4, -1, 1.7, -0.05])) for _ in range(7)]
        closed = rng.choice([True, False])
        space.add_polyline2d(vertices, format='xyb', close=closed, dxfattribs={**where(), **facing})
        space.add_polyline3d([at() for _ in range(4)], close=closed, dxfattribs=where())
        if not modern:
            continue
        space.add_lwpolyline(vertices, format='xyb', close=closed, dxfattribs={**where(), **facing})
        start = rng.uniform(0, 6)
        major = (rng.uniform(5, 40), rng.uniform(-40, 40))
        space.add_ellipse(at(), major, rng.uniform(0.1, 1), start, start + rng.uniform(0.5, 6), dxfattribs={**where(), **facing})
        space.add_ellipse(at(), major, rng.uniform(0.1, 1), dxfattribs=where())
        space.add_open_spline([at() for _ in range(8)], degree=rng.choice([2, 3, 5]), dxfattribs=where())
        weights = [rng.uniform(0.3, 3) for _ in range(7)]
        space.add_rational_spline([at() for _ in range(7)], weights, degree=rng.choice([2, 3]), dxfattribs=where())
        space.add_spline(dxfattribs=where()).set_closed([(*at(), 0) for _ in range(6)], degree=3)
        space.add_spline(dxfattribs=where()).set_closed_rational([(*at(), 0) for _ in range(7)], weights, degree=2)
    space.add_text('fern', dxfattribs={'layer': 'openings'})


def drawing(version, seed):
    rng = random.Random(seed)
    doc = ezdxf.new(version)
    doc.units = 4
    for name in ('openings', 'Rückseite', 'frozen', 'off'):
        doc.layers.add(name, color=rng.choice([1, 2, 3]))
    doc.layers.get('frozen').freeze()
    doc.layers.get('off').off()
    modern = version != 'R12'
    inner = doc.blocks.new('INNER', base_point=(3, 4))
    fill(inner, rng, modern)
    outer = doc.blocks.new('OUTER', base_point=(-10, 5))
    fill(outer, rng, modern)
    outer.add_blockref('INNER', (20, 30), dxfattribs={'xscale': -0.5, 'yscale': 0.5, 'rotation': 33, 'layer': 'openings'})
    outer.add_blockref('INNER', (-20, 30), dxfattribs={'xscale': 0.5, 'yscale': 0.7, 'rotation': 200, **BEHIND})
    model = doc.modelspace()
    fill(model, rng, modern)
    model.add_blockref('OUTER', (500, 100), dxfattribs={'rotation': 45, 'layer': 'Rückseite', 'xscale': 2, 'yscale': 2})
    model.add_blockref('OUTER', (-500, 100), dxfattribs={'rotation': 15, 'xscale': 1, 'yscale': -1, **BEHIND})
    model.add_blockref('OUTER', (0, 900), dxfattribs={'xscale': 1.5, 'yscale': 0.5, 'layer': 'off'})
    model.add_blockref('INNER', (0, -900), dxfattribs={'layer': 'frozen'})
    array = {'column_count': 3, 'row_count': 2, 'column_spacing': 450, 'row_spacing': 520, 'rotation': 10}
    model.add_blockref('INNER', (1500, 0), dxfattribs=array)
    if modern:
        doc.layout('Layout1').add_circle((0, 0), 5)
        model.add_circle((0, 0), 3, dxfattribs={'invisible': 1})
    return doc


for number, version in enumerate(['R12', 'R2000', 'R2004', 'R2007', 'R2010', 'R2013', 'R2018']):
    doc = drawing(version, 20261125 + number)
    doc.saveas(os.path.join(folder, f'{version}-text.dxf'), fmt='asc')
    doc.saveas(os.path.join(folder, f'{version}-binary.dxf'), fmt='bin')

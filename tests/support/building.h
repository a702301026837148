/* SPDX-License-Identifier: GPL-3.0-or-later */
/* A small building put together by hand, for tests of the models: walls, floors and blocks on bare geometry, materials
 * with one loss each. Start with one of zeros, add materials, then things, then building_close; building_free at the
 * end. */
#ifndef TEST_BUILDING_H
#define TEST_BUILDING_H

#include "propagation/model.h"
#include "support/check.h"

enum { BUILDING_MOST = 160 };

typedef struct building {
    es_panel wall[BUILDING_MOST];
    es_sheet floor[BUILDING_MOST];
    es_prism block[BUILDING_MOST];
    size_t n_walls, n_floors, n_blocks;
    earshot_point corner[2 * BUILDING_MOST][4];
    size_t n_outlines;
    earshot_element element[3 * BUILDING_MOST];
    size_t n_elements;
    es_material material[BUILDING_MOST];
    earshot_loss_entry loss[BUILDING_MOST];
    size_t n_materials;
    es_geometry *geometry;
    es_structure structure;
} building;

static inline size_t building_material(building *b, double loss_db, double spread_db)
{
    const size_t i = b->n_materials++;
    assert_true(i < BUILDING_MOST);
    b->loss[i] = (earshot_loss_entry){868e6, loss_db};
    b->material[i] =
        (es_material){.loss = &b->loss[i], .n_losses = 1, .spread_db = spread_db, .basis = EARSHOT_BASIS_JUDGEMENT};
    return i;
}

static inline size_t building_element(building *b, earshot_element_kind kind, size_t material)
{
    b->element[b->n_elements] = (earshot_element){.kind = kind, .statement = b->n_elements, .material = material};
    return b->n_elements++;
}

/* An upright panel from z = 0 to 9 m. */
static inline void building_wall(building *b, double ax, double ay, double bx, double by, size_t material)
{
    assert_true(b->n_walls < BUILDING_MOST);
    b->wall[b->n_walls++] = (es_panel){.ax_m = ax,
                                       .ay_m = ay,
                                       .bx_m = bx,
                                       .by_m = by,
                                       .z0_m = 0.0,
                                       .z1_m = 9.0,
                                       .element = building_element(b, EARSHOT_ELEMENT_WALL, material),
                                       .material = material};
}

static inline const earshot_point *building_square(building *b, double x0, double y0, double x1, double y1)
{
    assert_true(b->n_outlines < 2 * BUILDING_MOST);
    earshot_point *corner = b->corner[b->n_outlines++];
    corner[0] = (earshot_point){x0, y0};
    corner[1] = (earshot_point){x1, y0};
    corner[2] = (earshot_point){x1, y1};
    corner[3] = (earshot_point){x0, y1};
    return corner;
}

static inline void building_floor(building *b, double x0, double y0, double x1, double y1, double z, size_t material)
{
    assert_true(b->n_floors < BUILDING_MOST);
    b->floor[b->n_floors++] = (es_sheet){.outline = building_square(b, x0, y0, x1, y1),
                                         .n_outline = 4,
                                         .z_m = z,
                                         .element = building_element(b, EARSHOT_ELEMENT_SLAB, material),
                                         .material = material};
}

static inline void building_block(building *b, double x0, double y0, double x1, double y1, size_t material)
{
    assert_true(b->n_blocks < BUILDING_MOST);
    b->block[b->n_blocks++] = (es_prism){.outline = building_square(b, x0, y0, x1, y1),
                                         .n_outline = 4,
                                         .z0_m = 0.0,
                                         .z1_m = 9.0,
                                         .element = building_element(b, EARSHOT_ELEMENT_BLOCK, material),
                                         .material = material};
}

/* May be called again after more was added. */
static inline void building_close(building *b)
{
    es_geometry_free(b->geometry);
    assert_int_equal(es_geometry_new(b->wall, b->n_walls, b->floor, b->n_floors, b->block, b->n_blocks, &b->geometry),
                     EARSHOT_OK);
    b->structure = (es_structure){
        .geometry = b->geometry, .material = b->material, .n_materials = b->n_materials, .element = b->element};
}

static inline void building_free(building *b)
{
    es_geometry_free(b->geometry);
    b->geometry = NULL;
}

static inline earshot_loss building_loss(const building *b, double frequency_hz, earshot_vec3 from, earshot_vec3 to)
{
    earshot_loss loss = {0};
    assert_int_equal(es_direct_loss(&b->structure, frequency_hz, from, to, &loss), EARSHOT_OK);
    return loss;
}

#endif

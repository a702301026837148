/* SPDX-License-Identifier: GPL-3.0-or-later */
/* The rules of crossing once more, slow and plain: every part is tried, places are shares t of the line from a to b,
 * and groups are found by comparing all with all. For plans whose coordinates are small multiples of a power of two
 * every sum and product below is exact, so its tolerance only covers the quotients: there it is a judge of the fast
 * version. */
#ifndef TEST_GEOMETRY_JUDGE_H
#define TEST_GEOMETRY_JUDGE_H

#include "geometry/geometry.h"

enum { PARTS_MAX = 192, CORNERS_MAX = 12, HOLES_MAX = 3, JUDGED_MAX = 2 * PARTS_MAX };

/* A site with its own memory for outlines. */
typedef struct test_site {
    es_panel panel[PARTS_MAX];
    es_sheet sheet[PARTS_MAX];
    es_prism prism[PARTS_MAX];
    size_t n_panels, n_sheets, n_prisms;
    earshot_point sheet_corner[PARTS_MAX][CORNERS_MAX], prism_corner[PARTS_MAX][CORNERS_MAX];
    earshot_point hole_corner[PARTS_MAX][HOLES_MAX][CORNERS_MAX];
    const earshot_point *hole[PARTS_MAX][HOLES_MAX];
    size_t n_hole[PARTS_MAX][HOLES_MAX];
} test_site;

typedef struct judged {
    double t0, t1, incidence_rad;
    size_t element;
    enum { STRETCH, SPOT, SOLID } kind;
    bool holds_end, left, right;
    size_t group;
} judged;

/* Fills crossing[] and returns how many; in no order. */
size_t judge_crossings(const test_site *site, earshot_vec3 a, earshot_vec3 b, judged *crossing);

#endif

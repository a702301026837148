/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Random sites and lines for the geometry tests, and ways to move them. */
#ifndef TEST_GEOMETRY_SITES_H
#define TEST_GEOMETRY_SITES_H

#include "support/random.h"
#include "unit/geometry/judge.h"

/* From low up to high, ends included. */
int test_pick(uint64_t *state, int low, int high);

/* All coordinates are small multiples of 0.25 m, so that corners, jambs, touching and running along happen all the time
 * and are exact. Elements are numbered from 0: panels, sheets, prisms. */
void test_lattice_site(test_site *site, uint64_t *state);
void test_lattice_line(const test_site *site, uint64_t *state, earshot_vec3 *a, earshot_vec3 *b);
/* Nothing meets by chance. */
void test_loose_site(test_site *site, uint64_t *state);
void test_loose_line(uint64_t *state, earshot_vec3 *a, earshot_vec3 *b);

/* Mirror (x to -x) if asked, turn counter-clockwise, then shift. */
typedef struct test_move {
    bool mirror;
    double turn_rad, dx_m, dy_m, dz_m;
} test_move;

earshot_vec3 test_moved(const test_move *move, earshot_vec3 p);
/* Source and target may not be the same. */
void test_move_site(const test_move *move, const test_site *site, test_site *moved);
/* Set the pointers of a site that was copied. */
void test_own_corners(test_site *site);

es_geometry *test_geometry(const test_site *site);

#endif

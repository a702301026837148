/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "unit/geometry/sites.h"

#include "support/check.h"

#include "base/units.h"

int test_pick(uint64_t *state, int low, int high)
{
    return low + (int)random_below(state, (size_t)(high - low + 1));
}

void test_own_corners(test_site *site)
{
    for (size_t i = 0; i < site->n_sheets; i++) {
        site->sheet[i].outline = site->sheet_corner[i];
        site->sheet[i].hole = site->hole[i];
        site->sheet[i].n_hole = site->n_hole[i];
        for (size_t k = 0; k < site->sheet[i].n_holes; k++) site->hole[i][k] = site->hole_corner[i][k];
    }
    for (size_t i = 0; i < site->n_prisms; i++) site->prism[i].outline = site->prism_corner[i];
}

static void number_elements(test_site *site)
{
    size_t element = 0;
    for (size_t i = 0; i < site->n_panels; i++) site->panel[i].element = element++;
    for (size_t i = 0; i < site->n_sheets; i++) site->sheet[i].element = element++;
    for (size_t i = 0; i < site->n_prisms; i++) site->prism[i].element = element++;
    test_own_corners(site);
}

enum { SIDE = 7, LEVELS = 5 };

static const double LEVEL_M[LEVELS] = {0, 0.75, 1.5, 2.5, 4};

static double lattice(uint64_t *state)
{
    return 0.5 * test_pick(state, 0, SIDE);
}

static void lattice_heights(uint64_t *state, double *z0_m, double *z1_m)
{
    const int low = test_pick(state, 0, 2) ? 0 : test_pick(state, 0, LEVELS - 2);
    *z0_m = LEVEL_M[low];
    *z1_m = LEVEL_M[test_pick(state, low + 1, LEVELS - 1)];
}

static void lattice_panel(es_panel *p, uint64_t *state)
{
    *p = (es_panel){.ax_m = lattice(state), .ay_m = lattice(state)};
    const int way = test_pick(state, 0, 9);
    do {
        const double step = 0.5 * test_pick(state, -5, 5);
        p->bx_m = way < 4 || way == 8 ? p->ax_m + step : way < 8 ? p->ax_m : lattice(state);
        p->by_m = way < 4 ? p->ay_m : way < 9 ? p->ay_m + step : lattice(state);
    } while (p->ax_m == p->bx_m && p->ay_m == p->by_m);
    lattice_heights(state, &p->z0_m, &p->z1_m);
}

/* Simple polygons on a lattice of five by five. */
static const struct shape {
    size_t n;
    int corner[CORNERS_MAX][2];
} SHAPES[] = {
    {4, {{0, 0}, {4, 0}, {4, 3}, {0, 3}}},
    {3, {{0, 0}, {3, 1}, {1, 4}}},
    {4, {{2, 0}, {4, 2}, {2, 4}, {0, 2}}},
    {6, {{0, 0}, {4, 0}, {4, 2}, {2, 2}, {2, 4}, {0, 4}}},
    {8, {{0, 0}, {4, 0}, {4, 3}, {3, 3}, {3, 1}, {1, 1}, {1, 4}, {0, 4}}},
    {5, {{0, 0}, {4, 0}, {4, 4}, {2, 2}, {0, 4}}},
    {5, {{0, 0}, {2, 0}, {4, 0}, {4, 1}, {0, 1}}},
};

static size_t lattice_outline(earshot_point *corner, uint64_t *state)
{
    const struct shape *shape = &SHAPES[test_pick(state, 0, (int)(sizeof SHAPES / sizeof *SHAPES) - 1)];
    const double x_m = lattice(state) - 1, y_m = lattice(state) - 1, size_m = 0.25 * test_pick(state, 1, 4);
    const bool swap = test_pick(state, 0, 1);
    for (size_t i = 0; i < shape->n; i++) {
        const double u = size_m * shape->corner[i][0], v = size_m * shape->corner[i][1];
        corner[i] = (earshot_point){x_m + (swap ? v : u), y_m + (swap ? u : v)};
    }
    return shape->n;
}

void test_lattice_site(test_site *site, uint64_t *state)
{
    site->n_panels = (size_t)test_pick(state, 0, 60);
    site->n_sheets = (size_t)test_pick(state, 0, 4);
    site->n_prisms = (size_t)test_pick(state, 0, 4);
    for (size_t i = 0; i < site->n_panels; i++) lattice_panel(&site->panel[i], state);
    for (size_t i = 0; i < site->n_sheets; i++) {
        site->sheet[i] = (es_sheet){.n_outline = lattice_outline(site->sheet_corner[i], state),
                                    .n_holes = (size_t)test_pick(state, 0, 2),
                                    .z_m = LEVEL_M[test_pick(state, 0, LEVELS - 1)]};
        for (size_t k = 0; k < site->sheet[i].n_holes; k++)
            site->n_hole[i][k] = lattice_outline(site->hole_corner[i][k], state);
    }
    for (size_t i = 0; i < site->n_prisms; i++) {
        site->prism[i] = (es_prism){.n_outline = lattice_outline(site->prism_corner[i], state)};
        lattice_heights(state, &site->prism[i].z0_m, &site->prism[i].z1_m);
    }
    number_elements(site);
}

static earshot_vec3 lattice_point(uint64_t *state)
{
    const double fine = test_pick(state, 0, 3) ? 0.5 : 0.25;
    const int cells = fine == 0.5 ? SIDE : 2 * SIDE;
    return (earshot_vec3){fine * test_pick(state, -1, cells + 1), fine * test_pick(state, -1, cells + 1),
                          test_pick(state, 0, 2) ? LEVEL_M[test_pick(state, 0, LEVELS - 1)] : 1.25};
}

void test_lattice_line(const test_site *site, uint64_t *state, earshot_vec3 *a, earshot_vec3 *b)
{
    *a = lattice_point(state);
    *b = lattice_point(state);
    const int way = test_pick(state, 0, 9);
    if (way < 2) b->z_m = a->z_m;
    if (way == 2) b->x_m = a->x_m, b->y_m = a->y_m;
    if (way < 3 || way > 6 || !site->n_panels) return;
    /* In the plane of a panel, from before it or within it to behind it or within it. */
    const es_panel *p = &site->panel[test_pick(state, 0, (int)site->n_panels - 1)];
    const double s = 0.5 * test_pick(state, -4, 2), e = 0.5 * test_pick(state, 1, 6);
    a->x_m = p->ax_m + s * (p->bx_m - p->ax_m);
    a->y_m = p->ay_m + s * (p->by_m - p->ay_m);
    b->x_m = p->ax_m + e * (p->bx_m - p->ax_m);
    b->y_m = p->ay_m + e * (p->by_m - p->ay_m);
    if (way < 6) b->z_m = a->z_m;
}

static const double REACH_M = 40;

static earshot_point loose_point(uint64_t *state)
{
    return (earshot_point){random_between(state, 0, REACH_M), random_between(state, 0, REACH_M)};
}

/* A star: corners at even angles round a middle, each at its own distance. */
static size_t loose_outline(earshot_point *corner, uint64_t *state)
{
    const size_t n = (size_t)test_pick(state, 3, CORNERS_MAX);
    const earshot_point middle = loose_point(state);
    const double size_m = random_between(state, 0.5, 8);
    for (size_t i = 0; i < n; i++) {
        const double angle = 2 * ES_PI * (double)i / (double)n, r = size_m * random_between(state, 0.3, 1);
        corner[i] = (earshot_point){middle.x_m + r * cos(angle), middle.y_m + r * sin(angle)};
    }
    return n;
}

static void loose_panel(es_panel *p, uint64_t *state)
{
    const earshot_point a = loose_point(state);
    const double angle = random_between(state, 0, 2 * ES_PI);
    const double length_m = test_pick(state, 0, 9) ? random_between(state, 0.1, 5) : random_between(state, 5, 90);
    *p = (es_panel){.ax_m = a.x_m,
                    .ay_m = a.y_m,
                    .bx_m = a.x_m + length_m * cos(angle),
                    .by_m = a.y_m + length_m * sin(angle),
                    .z0_m = random_between(state, 0, 3),
                    .z1_m = random_between(state, 3, 9)};
}

void test_loose_site(test_site *site, uint64_t *state)
{
    site->n_panels = (size_t)test_pick(state, 1, PARTS_MAX);
    site->n_sheets = (size_t)test_pick(state, 0, 12);
    site->n_prisms = (size_t)test_pick(state, 0, 40);
    for (size_t i = 0; i < site->n_panels; i++) loose_panel(&site->panel[i], state);
    for (size_t i = 0; i < site->n_sheets; i++) {
        site->sheet[i] = (es_sheet){.n_outline = loose_outline(site->sheet_corner[i], state),
                                    .n_holes = (size_t)test_pick(state, 0, HOLES_MAX),
                                    .z_m = random_between(state, 0, 9)};
        for (size_t k = 0; k < site->sheet[i].n_holes; k++)
            site->n_hole[i][k] = loose_outline(site->hole_corner[i][k], state);
    }
    for (size_t i = 0; i < site->n_prisms; i++)
        site->prism[i] = (es_prism){.n_outline = loose_outline(site->prism_corner[i], state),
                                    .z0_m = random_between(state, 0, 3),
                                    .z1_m = random_between(state, 3, 9)};
    number_elements(site);
}

void test_loose_line(uint64_t *state, earshot_vec3 *a, earshot_vec3 *b)
{
    const earshot_point p = loose_point(state), q = loose_point(state);
    *a = (earshot_vec3){p.x_m, p.y_m, random_between(state, 0, 9)};
    *b = (earshot_vec3){q.x_m, q.y_m, random_between(state, 0, 9)};
    const int way = test_pick(state, 0, 9);
    if (way == 0) b->x_m = a->x_m;
    if (way == 1) b->y_m = a->y_m;
    if (way == 2) b->x_m = a->x_m, b->y_m = a->y_m;
    if (way == 3) a->x_m -= 500, b->x_m += 300;
    if (way == 4) b->z_m = a->z_m;
}

earshot_vec3 test_moved(const test_move *move, earshot_vec3 p)
{
    const double x = move->mirror ? -p.x_m : p.x_m, y = p.y_m;
    if (move->turn_rad == 0) return (earshot_vec3){x + move->dx_m, y + move->dy_m, p.z_m + move->dz_m};
    const double c = cos(move->turn_rad), s = sin(move->turn_rad);
    return (earshot_vec3){c * x - s * y + move->dx_m, s * x + c * y + move->dy_m, p.z_m + move->dz_m};
}

static earshot_point moved_point(const test_move *move, earshot_point p)
{
    const earshot_vec3 q = test_moved(move, (earshot_vec3){p.x_m, p.y_m, 0});
    return (earshot_point){q.x_m, q.y_m};
}

static void move_points(const test_move *move, earshot_point *point, size_t n)
{
    for (size_t i = 0; i < n; i++) point[i] = moved_point(move, point[i]);
}

void test_move_site(const test_move *move, const test_site *site, test_site *moved)
{
    *moved = *site;
    test_own_corners(moved);
    for (size_t i = 0; i < moved->n_panels; i++) {
        es_panel *p = &moved->panel[i];
        const earshot_point a = moved_point(move, (earshot_point){p->ax_m, p->ay_m});
        const earshot_point b = moved_point(move, (earshot_point){p->bx_m, p->by_m});
        p->ax_m = a.x_m, p->ay_m = a.y_m, p->bx_m = b.x_m, p->by_m = b.y_m;
        p->z0_m += move->dz_m, p->z1_m += move->dz_m;
    }
    for (size_t i = 0; i < moved->n_sheets; i++) {
        move_points(move, moved->sheet_corner[i], moved->sheet[i].n_outline);
        for (size_t k = 0; k < moved->sheet[i].n_holes; k++)
            move_points(move, moved->hole_corner[i][k], moved->n_hole[i][k]);
        moved->sheet[i].z_m += move->dz_m;
    }
    for (size_t i = 0; i < moved->n_prisms; i++) {
        move_points(move, moved->prism_corner[i], moved->prism[i].n_outline);
        moved->prism[i].z0_m += move->dz_m, moved->prism[i].z1_m += move->dz_m;
    }
}

es_geometry *test_geometry(const test_site *site)
{
    es_geometry *geometry;
    assert_int_equal(es_geometry_new(site->panel, site->n_panels, site->sheet, site->n_sheets, site->prism,
                                     site->n_prisms, &geometry),
                     EARSHOT_OK);
    return geometry;
}

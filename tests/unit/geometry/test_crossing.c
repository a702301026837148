/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Laws that hold on any site: the index and its tolerances find what the plain judge finds; both directions agree to
 * the last bit; moving, turning, mirroring, splitting and renumbering change nothing. */
#include "support/check.h"

#include <stdlib.h>
#include <string.h>

#include "base/units.h"
#include "unit/geometry/sites.h"

static const double PLACE_TOLERANCE_M = 1e-6, ANGLE_TOLERANCE_RAD = 1e-6;

typedef struct result {
    earshot_crossing crossing[JUDGED_MAX];
    size_t n;
} result;

static void find(const es_geometry *geometry, earshot_vec3 a, earshot_vec3 b, result *found)
{
    assert_int_equal(es_geometry_crossings(geometry, a, b, found->crossing, JUDGED_MAX, &found->n), EARSHOT_OK);
    assert_true(found->n <= JUDGED_MAX);
}

static double distance_m(earshot_vec3 a, earshot_vec3 b)
{
    const double dx = b.x_m - a.x_m, dy = b.y_m - a.y_m, dz = b.z_m - a.z_m;
    return sqrt(dx * dx + dy * dy + dz * dz);
}

static void judge(const test_site *site, earshot_vec3 a, earshot_vec3 b, result *expected)
{
    static judged hit[JUDGED_MAX];
    expected->n = judge_crossings(site, a, b, hit);
    for (size_t i = 0; i < expected->n; i++)
        expected->crossing[i] = (earshot_crossing){.distance_m = distance_m(a, b) * (hit[i].t0 + hit[i].t1) / 2,
                                                   .incidence_rad = hit[i].incidence_rad,
                                                   .element = hit[i].element,
                                                   .group = hit[i].group};
}

static void print(const char *what, const result *r)
{
    print_error("%s: %zu\n", what, r->n);
    for (size_t i = 0; i < r->n; i++)
        print_error("  %.9f m, %.6f rad, element %zu, group %zu\n", r->crossing[i].distance_m,
                    r->crossing[i].incidence_rad, r->crossing[i].element, r->crossing[i].group);
}

/* The same crossings in the same groups, in any order and with any numbers for the groups. */
static bool same(const result *found, const result *expected)
{
    static bool used[JUDGED_MAX];
    static size_t group[JUDGED_MAX];
    if (found->n != expected->n) return false;
    memset(used, 0, sizeof used);
    size_t n_groups = 0, match = 0;
    for (size_t i = 0; i < found->n; i++) {
        const earshot_crossing *f = &found->crossing[i];
        for (match = 0; match < expected->n; match++) {
            const earshot_crossing *e = &expected->crossing[match];
            if (used[match] || f->element != e->element) continue;
            if (fabs(f->distance_m - e->distance_m) > PLACE_TOLERANCE_M) continue;
            if (fabs(f->incidence_rad - e->incidence_rad) > ANGLE_TOLERANCE_RAD) continue;
            if (f->group < n_groups && group[f->group] != e->group) continue;
            break;
        }
        if (match == expected->n) return false;
        used[match] = true;
        if (f->group == n_groups) group[n_groups++] = expected->crossing[match].group;
    }
    for (size_t i = 0; i < n_groups; i++)
        for (size_t k = 0; k < i; k++)
            if (group[i] == group[k]) return false;
    return true;
}

/* Nearest first, groups 0, 1, 2 ... without a gap, all of a group at one distance. */
static void check_order(const result *r, double length_m)
{
    for (size_t i = 0; i < r->n; i++) {
        const earshot_crossing *c = &r->crossing[i];
        assert_true(c->distance_m >= 0 && c->distance_m <= length_m);
        assert_true(c->incidence_rad >= 0 && c->incidence_rad <= ES_PI / 2);
        if (i == 0) {
            assert_int_equal(c->group, 0);
            continue;
        }
        assert_true(c->distance_m >= c[-1].distance_m);
        assert_true(c->group == c[-1].group || c->group == c[-1].group + 1);
        if (c->group == c[-1].group) assert_true(c->distance_m == c[-1].distance_m);
    }
}

static void check_reverse(const es_geometry *geometry, earshot_vec3 a, earshot_vec3 b, const result *there)
{
    static result back;
    find(geometry, b, a, &back);
    assert_int_equal(back.n, there->n);
    double length_m = 0;
    for (size_t i = 0; i < back.n; i++) {
        const earshot_crossing *f = &there->crossing[i], *r = &back.crossing[back.n - 1 - i];
        assert_int_equal(f->element, r->element);
        assert_memory_equal(&f->incidence_rad, &r->incidence_rad, sizeof f->incidence_rad);
        assert_int_equal(f->group + r->group, there->crossing[there->n - 1].group);
        /* One of the two is the length of the line minus the other: to the last bit. */
        length_m = distance_m(a, b);
        assert_true(r->distance_m == length_m - f->distance_m || f->distance_m == length_m - r->distance_m);
    }
}

static void check_line(const test_site *site, const es_geometry *geometry, earshot_vec3 a, earshot_vec3 b)
{
    static result found, expected;
    find(geometry, a, b, &found);
    judge(site, a, b, &expected);
    check_order(&found, distance_m(a, b));
    check_reverse(geometry, a, b, &found);
    if (same(&found, &expected)) return;
    print_error("from %.17g,%.17g,%.17g to %.17g,%.17g,%.17g\n", a.x_m, a.y_m, a.z_m, b.x_m, b.y_m, b.z_m);
    print("found", &found);
    print("expected", &expected);
    fail();
}

static test_site site, other;

static void agrees_with_the_judge_where_things_touch(void **state)
{
    (void)state;
    uint64_t random = 20011;
    size_t crossings = 0, grouped = 0;
    for (int round = 0; round < 3000; round++) {
        test_lattice_site(&site, &random);
        es_geometry *geometry = test_geometry(&site);
        for (int k = 0; k < 20; k++) {
            earshot_vec3 a, b;
            test_lattice_line(&site, &random, &a, &b);
            check_line(&site, geometry, a, b);
            static result found;
            find(geometry, a, b, &found);
            crossings += found.n;
            grouped += found.n - (found.n ? found.crossing[found.n - 1].group + 1 : 0);
        }
        es_geometry_free(geometry);
    }
    /* The sites are of use only if many things do touch. */
    assert_true(crossings > 100000);
    assert_true(grouped > 20000);
}

static void agrees_with_the_judge_where_nothing_touches(void **state)
{
    (void)state;
    uint64_t random = 868300;
    for (int round = 0; round < 300; round++) {
        test_loose_site(&site, &random);
        es_geometry *geometry = test_geometry(&site);
        for (int k = 0; k < 20; k++) {
            earshot_vec3 a, b;
            test_loose_line(&random, &a, &b);
            check_line(&site, geometry, a, b);
        }
        es_geometry_free(geometry);
    }
}

static const test_move MOVES[] = {
    {false, 0, 98304.25, -131072.5, 12.25},       {false, 0, 31.4159, 27.1828, 0.577},
    {false, 0.52359877559829887, 0, 0, 0},        {false, ES_PI / 2, 4.4, 3.3, 0},
    {false, 2.39637, 100123.456, 99876.543, 3.1}, {true, 0, 0, 0, 0},
    {true, 0.52359877559829887, -77.7, 12.3, 0},  {true, 5.91, -100000.1, 0.2, -7.7},
};

static void stays_the_same_moved_turned_and_mirrored(void **state)
{
    (void)state;
    uint64_t random = 43392;
    for (int round = 0; round < 1200; round++) {
        test_lattice_site(&site, &random);
        es_geometry *geometry = test_geometry(&site);
        const test_move *move = &MOVES[(size_t)round % (sizeof MOVES / sizeof *MOVES)];
        test_move_site(move, &site, &other);
        es_geometry *moved = test_geometry(&other);
        for (int k = 0; k < 20; k++) {
            static result here, there;
            earshot_vec3 a, b;
            test_lattice_line(&site, &random, &a, &b);
            const earshot_vec3 c = test_moved(move, a), d = test_moved(move, b);
            find(geometry, a, b, &here);
            find(moved, c, d, &there);
            check_order(&there, distance_m(c, d));
            check_reverse(moved, c, d, &there);
            if (same(&there, &here)) continue;
            print_error("round %d, line %d\n", round, k);
            print("as drawn", &here);
            print("moved", &there);
            fail();
        }
        es_geometry_free(geometry);
        es_geometry_free(moved);
    }
}

/* The index keeps a copy in floats, which hold half a millimetre at 5 km: it may not lose what only just touches. */
static void stays_the_same_far_from_the_rest_of_the_site(void **state)
{
    (void)state;
    uint64_t random = 1492;
    const test_move away = {false, 0, 5000.3707, 3000.1103, 0};
    for (int round = 0; round < 300; round++) {
        test_lattice_site(&site, &random);
        es_geometry *geometry = test_geometry(&site);
        test_move_site(&away, &site, &other);
        for (int i = 0; i < 40; i++) {
            const double x_m = random_between(&random, 0, 90), y_m = random_between(&random, 0, 90);
            other.panel[other.n_panels++] =
                (es_panel){.ax_m = x_m, .ay_m = y_m, .bx_m = x_m + 3.1, .by_m = y_m, .z1_m = 2};
        }
        es_geometry *apart = test_geometry(&other);
        for (int k = 0; k < 20; k++) {
            static result here, there;
            earshot_vec3 a, b;
            test_lattice_line(&site, &random, &a, &b);
            find(geometry, a, b, &here);
            find(apart, test_moved(&away, a), test_moved(&away, b), &there);
            if (!same(&there, &here)) print("alone", &here), print("far from the rest", &there);
            assert_true(same(&there, &here));
        }
        es_geometry_free(geometry);
        es_geometry_free(apart);
    }
}

/* Cut panel i in two at a share of its length or height, both parts of the same element. */
static void split_panel(test_site *s, size_t i, bool upright, double share)
{
    es_panel *first = &s->panel[i], *second = &s->panel[s->n_panels++];
    *second = *first;
    if (upright) {
        first->bx_m = second->ax_m = first->ax_m + share * (first->bx_m - first->ax_m);
        first->by_m = second->ay_m = first->ay_m + share * (first->by_m - first->ay_m);
    } else {
        first->z1_m = second->z0_m = first->z0_m + share * (first->z1_m - first->z0_m);
    }
}

/* Keep one crossing of each element in a group. */
static void drop_doubles(result *r)
{
    size_t kept = 0;
    for (size_t i = 0; i < r->n; i++) {
        bool seen = false;
        for (size_t k = 0; k < kept; k++)
            seen |= r->crossing[k].group == r->crossing[i].group && r->crossing[k].element == r->crossing[i].element;
        if (!seen) r->crossing[kept++] = r->crossing[i];
    }
    r->n = kept;
}

static void counts_a_wall_in_pieces_as_one_wall(void **state)
{
    (void)state;
    uint64_t random = 5150;
    for (int round = 0; round < 1200; round++) {
        test_lattice_site(&site, &random);
        es_geometry *geometry = test_geometry(&site);
        /* Turned first, so that the joints are not exactly on the line between the ends of the wall. */
        const test_move *move = &MOVES[(size_t)round % (sizeof MOVES / sizeof *MOVES)];
        test_move_site(move, &site, &other);
        for (size_t i = 0; i < site.n_panels; i++)
            for (int cut = test_pick(&random, 0, 2); cut > 0; cut--)
                split_panel(&other, i, test_pick(&random, 0, 2) > 0, 0.25 * test_pick(&random, 1, 3));
        es_geometry *pieces = test_geometry(&other);
        for (int k = 0; k < 20; k++) {
            static result whole, split;
            earshot_vec3 a, b;
            test_lattice_line(&site, &random, &a, &b);
            find(geometry, a, b, &whole);
            find(pieces, test_moved(move, a), test_moved(move, b), &split);
            drop_doubles(&whole);
            drop_doubles(&split);
            if (same(&split, &whole)) continue;
            print_error("round %d, line %d: from %g,%g,%g to %g,%g,%g\n", round, k, a.x_m, a.y_m, a.z_m, b.x_m, b.y_m,
                        b.z_m);
            print("whole", &whole);
            print("in pieces", &split);
            fail();
        }
        es_geometry_free(geometry);
        es_geometry_free(pieces);
    }
}

static void shuffle(void *items, size_t n, size_t size, uint64_t *random)
{
    char *base = items;
    char hold[sizeof(es_panel) + sizeof(es_sheet)];
    for (size_t i = n; i > 1; i--) {
        const size_t k = (size_t)test_pick(random, 0, (int)i - 1);
        memcpy(hold, base + (i - 1) * size, size);
        memcpy(base + (i - 1) * size, base + k * size, size);
        memcpy(base + k * size, hold, size);
    }
}

static void does_not_depend_on_how_parts_are_numbered(void **state)
{
    (void)state;
    uint64_t random = 77003;
    for (int round = 0; round < 600; round++) {
        test_lattice_site(&site, &random);
        es_geometry *geometry = test_geometry(&site);
        /* Parts change places but keep their elements and their outlines, which stay in `site`. */
        other = site;
        shuffle(other.panel, other.n_panels, sizeof *other.panel, &random);
        shuffle(other.sheet, other.n_sheets, sizeof *other.sheet, &random);
        shuffle(other.prism, other.n_prisms, sizeof *other.prism, &random);
        es_geometry *shuffled = test_geometry(&other);
        for (int k = 0; k < 20; k++) {
            static result here, there;
            earshot_vec3 a, b;
            test_lattice_line(&site, &random, &a, &b);
            find(geometry, a, b, &here);
            find(shuffled, a, b, &there);
            assert_int_equal(here.n, there.n);
            if (here.n) assert_memory_equal(here.crossing, there.crossing, here.n * sizeof *here.crossing);
        }
        es_geometry_free(geometry);
        es_geometry_free(shuffled);
    }
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(agrees_with_the_judge_where_things_touch),
        cmocka_unit_test(agrees_with_the_judge_where_nothing_touches),
        cmocka_unit_test(stays_the_same_moved_turned_and_mirrored),
        cmocka_unit_test(stays_the_same_far_from_the_rest_of_the_site),
        cmocka_unit_test(counts_a_wall_in_pieces_as_one_wall),
        cmocka_unit_test(does_not_depend_on_how_parts_are_numbered),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}

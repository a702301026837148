/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "support/check.h"

#include "geometry/geometry.h"

#define COUNT(array) (sizeof(array) / sizeof *(array))

/* An L-shaped room: its notch is the square above 3.7 m and right of 4.3 m. */
static const earshot_point ell[] = {{0.4, 0.2}, {9.1, 0.2}, {9.1, 3.7}, {4.3, 3.7}, {4.3, 8.6}, {0.4, 8.6}};

static void locates_points_of_an_ell(void **state)
{
    (void)state;
    const struct {
        earshot_point p;
        int where;
    } expect[] = {
        {{2.3, 6.9}, 1}, {{7.7, 1.4}, 1},   {{7.7, 5.2}, -1},       {{0.1, 3.7}, -1},        {{2.3, 3.7}, 1},
        {{2.3, 8.6}, 0}, {{4.3, 6.1}, 0},   {{4.3, 3.7}, 0},        {{9.1, 3.7}, 0},         {{0.4, 0.2}, 0},
        {{-3, 0.2}, -1}, {{-3, 8.6}, -1},   {{4.3, 8.6 + 5e-7}, 0}, {{4.3, 8.6 + 2e-6}, -1}, {{4.3 - 2e-6, 6.1}, 1},
        {{6.3, 3.7}, 0}, {{12.2, 3.7}, -1}, {{4.3 + 5e-7, 6.1}, 0},
    };
    for (size_t i = 0; i < COUNT(expect); i++) {
        const earshot_point p = expect[i].p;
        const int where = es_polygon_locate(ell, COUNT(ell), p, 1e-6);
        if (where != expect[i].where) print_error("%g,%g: %d, expected %d\n", p.x_m, p.y_m, where, expect[i].where);
        assert_int_equal(where, expect[i].where);
        assert_int_equal(es_polygon_contains(ell, COUNT(ell), p, 1e-6), where >= 0);
    }
}

static void locates_the_same_far_away_and_turned_round(void **state)
{
    (void)state;
    earshot_point far[COUNT(ell)], backwards[COUNT(ell)];
    for (size_t i = 0; i < COUNT(ell); i++) {
        far[i] = (earshot_point){ell[i].x_m + 123456.789, ell[i].y_m - 98765.4321};
        backwards[COUNT(ell) - 1 - i] = ell[i];
    }
    for (int x = -1; x <= 21; x++) {
        for (int y = -1; y <= 21; y++) {
            const earshot_point p = {0.4 + 0.435 * x, 0.2 + 0.42 * y};
            const earshot_point q = {p.x_m + 123456.789, p.y_m - 98765.4321};
            const int where = es_polygon_locate(ell, COUNT(ell), p, 1e-6);
            assert_int_equal(es_polygon_locate(far, COUNT(far), q, 1e-6), where);
            assert_int_equal(es_polygon_locate(backwards, COUNT(backwards), p, 1e-6), where);
        }
    }
}

static void says_which_polygons_cross_themselves(void **state)
{
    (void)state;
    static const struct {
        const char *what;
        earshot_point corner[9];
        size_t n;
        bool crosses;
    } expect[] = {
        {"triangle", {{0.3, 0.1}, {4.2, 0.7}, {1.9, 3.3}}, 3, false},
        {"room", {{0, 0}, {5.1, 0}, {5.1, 4.4}, {0, 4.4}}, 4, false},
        {"room, first corner repeated", {{0, 0}, {5.1, 0}, {5.1, 4.4}, {0, 4.4}, {0, 0}}, 5, false},
        {"room, a corner on a straight side", {{0, 0}, {2.2, 0}, {5.1, 0}, {5.1, 4.4}, {0, 4.4}}, 5, false},
        {"room, a corner written twice", {{0, 0}, {5.1, 0}, {5.1, 0}, {5.1, 4.4}, {0, 4.4}}, 5, false},
        {"bow tie", {{0, 0}, {5.1, 4.4}, {5.1, 0}, {0, 4.4}}, 4, true},
        {"spike along a side", {{0, 0}, {7.3, 0}, {5.1, 0}, {5.1, 4.4}, {0, 4.4}}, 5, true},
        {"spike into the room", {{0, 0}, {5.1, 0}, {2.6, 0}, {2.6, 4.4}, {0, 4.4}}, 5, true},
        {"there and back", {{0, 0}, {5.1, 2.2}}, 2, true},
        {"there and back over a corner", {{0, 0}, {5.1, 0}, {7.7, 0}}, 3, true},
        {"corner touches a side", {{0, 0}, {6, 0}, {6, 4}, {3.1, 0}, {0, 4}}, 5, true},
        {"corner almost touches a side", {{0, 0}, {6, 0}, {6, 4}, {3.1, 0.00001}, {0, 4}}, 5, false},
        {"two squares meet in a corner", {{0, 0}, {2, 0}, {2, 2}, {4, 2}, {4, 4}, {2, 4}, {2, 2}, {0, 2}}, 8, true},
        {"sides lie on each other", {{0, 0}, {6, 0}, {6, 3}, {4, 3}, {4, 1}, {5, 1}, {5, 3}, {0, 3}}, 8, true},
        {"ell", {{0.4, 0.2}, {9.1, 0.2}, {9.1, 3.7}, {4.3, 3.7}, {4.3, 8.6}, {0.4, 8.6}}, 6, false},
        {"point", {{1.7, 2.9}}, 1, false},
        {"same point twice", {{1.7, 2.9}, {1.7, 2.9}}, 2, false},
    };
    for (size_t i = 0; i < COUNT(expect); i++) {
        const size_t n = expect[i].n;
        /* From every corner, both ways round, near and far: the answer is of the polygon, not of how it is written. */
        for (size_t turn = 0; turn < 2 * n; turn++) {
            earshot_point corner[9];
            for (size_t k = 0; k < n; k++) {
                corner[k] = expect[i].corner[turn < n ? (turn + k) % n : (turn + n - k) % n];
                corner[k].x_m += turn % 2 ? 100000 : 0;
            }
            const bool crosses = es_polygon_self_crosses(corner, n);
            if (crosses != expect[i].crosses) print_error("%s, turn %zu\n", expect[i].what, turn);
            assert_int_equal(crosses, expect[i].crosses);
        }
    }
}

static void measures_distance_from_a_segment(void **state)
{
    (void)state;
    const earshot_point a = {1.3, 2.1}, b = {5.3, 5.1}; /* 5 m, direction 0.8, 0.6 */
    double along;
    check_close(es_segment_distance_m(a, b, (earshot_point){1.3 + 0.8 * 3.5 - 0.6 * 2.25, 2.1 + 0.6 * 3.5 + 0.8 * 2.25},
                                      &along),
                2.25, 1e-12, "m");
    check_close(along, 0.7, 1e-12, "");
    check_close(es_segment_distance_m(a, b, (earshot_point){1.3 - 3, 2.1 - 4}, &along), 5, 1e-12, "m");
    check_close(along, 0, 0, "");
    check_close(es_segment_distance_m(a, b, (earshot_point){5.3 + 1.2, 5.1 + 0.5}, &along), 1.3, 1e-12, "m");
    check_close(along, 1, 0, "");
    check_close(es_segment_distance_m(a, a, (earshot_point){1.3 + 8, 2.1 + 15}, NULL), 17, 1e-12, "m");
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(locates_points_of_an_ell),
        cmocka_unit_test(locates_the_same_far_away_and_turned_round),
        cmocka_unit_test(says_which_polygons_cross_themselves),
        cmocka_unit_test(measures_distance_from_a_segment),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}

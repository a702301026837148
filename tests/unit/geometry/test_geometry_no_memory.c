/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Every allocation fails once: the status says so, outputs are untouched, nothing leaks (the sanitizers look). */
#include "support/check.h"

#include "support/nomem.h"
#include "unit/geometry/sites.h"

static test_site site;

static void building_fails_cleanly(void **state)
{
    (void)state;
    uint64_t random = 8;
    test_loose_site(&site, &random);
    assert_true(site.n_panels > 0 && site.n_sheets > 0 && site.n_prisms > 0);
    long n = 0;
    for (bool done = false; !done; n++) {
        es_geometry *geometry = (es_geometry *)&site;
        fail_allocation(n);
        const earshot_status status =
            es_geometry_new(site.panel, site.n_panels, site.sheet, site.n_sheets, site.prism, site.n_prisms, &geometry);
        fail_allocation(-1);
        done = status == EARSHOT_OK;
        if (!done) assert_int_equal(status, EARSHOT_MEMORY);
        if (!done) assert_null(geometry);
        es_geometry_free(done ? geometry : NULL);
    }
    assert_true(n > 4);
}

/* Many walls, so that the hits outgrow what is at hand; a slab that the line runs in; a block. */
static void asking_fails_cleanly(void **state)
{
    (void)state;
    site.n_panels = 150;
    site.n_sheets = site.n_prisms = 1;
    for (size_t i = 0; i < site.n_panels; i++) {
        const double x_m = 1.1 + 0.1 * (double)i;
        site.panel[i] = (es_panel){.ax_m = x_m, .bx_m = x_m, .ay_m = -2.2, .by_m = 3.3, .z1_m = 2.5, .element = i};
    }
    const earshot_point square[] = {{0.5, -1}, {17.3, -1}, {17.3, 2}, {0.5, 2}};
    for (size_t i = 0; i < 4; i++) site.sheet_corner[0][i] = site.prism_corner[0][i] = square[i];
    site.sheet[0] = (es_sheet){.n_outline = 4, .z_m = 1.2, .element = 1000};
    site.prism[0] = (es_prism){.n_outline = 4, .z0_m = 1, .z1_m = 2, .element = 1001};
    test_own_corners(&site);
    es_geometry *geometry = test_geometry(&site);
    const earshot_vec3 a = {-3, 0.1, 1.2}, b = {22, 0.7, 1.2};
    earshot_crossing crossing[3];
    long n = 0;
    for (bool done = false; !done; n++) {
        size_t found = 4711;
        crossing[0].element = 4712;
        fail_allocation(n);
        const earshot_status status = es_geometry_crossings(geometry, a, b, crossing, 3, &found);
        fail_allocation(-1);
        done = status == EARSHOT_OK;
        assert_int_equal(status, done ? EARSHOT_OK : EARSHOT_MEMORY);
        assert_int_equal(found, done ? 152 : 4711);
        if (!done) assert_int_equal(crossing[0].element, 4712);
    }
    assert_true(n > 3);
    es_geometry_free(geometry);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(building_fails_cleanly),
        cmocka_unit_test(asking_fails_cleanly),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}

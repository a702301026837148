/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Sweeps and grids: what they hold, what they refuse, and that the number of threads does not show. */
#include "support/check.h"

#ifdef _OPENMP
#include <omp.h>
#endif

#include "support/plans.h"

static const double F_HZ = 868.3e6;
static const earshot_need NEED = {6.0, 0.95};

static const char FARM[] =
    "plan 1\n" TEST_MATERIALS "radio hub erp=13.1dBm gain=1.3dBi sensitivity=-108.6dBm twoway=yes\n"
    "radio pir erp=7.4dBm\n"
    "radio pad erp=9.7dBm gain=-2.3dBi sensitivity=-101.9dBm twoway=yes\n"
    "radio mute erp=9.7dBm\n"
    "storey ground level=0.3m height=2.5m\n"
    "wall thick 0.4,0.2 9.3,0.2 9.3,7.1 0.4,7.1 0.4,0.2\n"
    "wall thin 4.7,0.2 4.7,7.1\n"
    "wall thin 4.7,3.3 9.3,3.3\n"
    "door 4.7,4.1 4.7,5.0 material=leaf\n"
    "slab deck 0.4,0.2 9.3,0.2 9.3,7.1 0.4,7.1\n"
    "block tank 6.1,5.2 7.9,5.2 7.9,6.4 6.1,6.4 to=1.4m\n"
    "receiver panel 1.1,5.9 at=1.6m radio=hub\n"
    "device hall movement 4.5,6.9 at=2.3m radio=pir\n"
    "device pad keypad 9.1,3.1 at=1.4m radio=pad\n"
    "device gate contact 17.3,-2.9 at=1.2m radio=pir\n"
    "device mute contact 2.2,2.9 at=1.2m radio=mute\n"
    "storey upper level=3.05m height=2.4m\n"
    "device loft movement 7.7,1.9 at=2.1m radio=pir\n"
    "storey void level=6m height=2m\n";

typedef struct farm {
    earshot_plan *plan;
    earshot_site *site;
    earshot_station panel, device[5];
} farm;

static int set_up(void **state)
{
    farm *f = calloc(1, sizeof *f);
    assert_non_null(f);
    f->plan = plan_of(FARM);
    f->site = site_of(f->plan, NULL);
    assert_int_equal(earshot_receiver_station(f->site, 0, F_HZ, &f->panel), EARSHOT_OK);
    for (size_t i = 0; i < 5; i++)
        assert_int_equal(earshot_device_station(f->site, i, F_HZ, &f->device[i]), EARSHOT_OK);
    *state = f;
    return 0;
}

static int tear_down(void **state)
{
    farm *f = *state;
    earshot_site_free(f->site);
    earshot_plan_free(f->plan);
    free(f);
    return 0;
}

static void use_threads(int n)
{
#ifdef _OPENMP
    omp_set_num_threads(n);
#else
    (void)n;
#endif
}

static earshot_link one_link(const farm *f, const earshot_station *device)
{
    earshot_field *field;
    earshot_loss loss;
    earshot_link link;
    assert_int_equal(earshot_field_new(f->site, EARSHOT_MODEL_DIRECT, F_HZ, f->panel.at, EARSHOT_ANTENNA_ISOTROPIC,
                                       EARSHOT_DETAIL_LINK, &field),
                     EARSHOT_OK);
    assert_int_equal(earshot_field_at(field, device->at, EARSHOT_ANTENNA_ISOTROPIC, &loss), EARSHOT_OK);
    assert_int_equal(earshot_link_judge(device, &f->panel, &loss, F_HZ, NEED, &link), EARSHOT_OK);
    earshot_field_free(field);
    return link;
}

static void test_sweep_is_the_links_one_by_one(void **state)
{
    farm *f = *state;
    earshot_link link[5];
    assert_int_equal(earshot_links(f->site, EARSHOT_MODEL_DIRECT, F_HZ, NEED, &f->panel, f->device, 5, NULL, link),
                     EARSHOT_OK);
    for (size_t i = 0; i < 5; i++) {
        const earshot_link alone = one_link(f, &f->device[i]);
        check_close(link[i].loss.loss_db, alone.loss.loss_db, 0.0, "dB");
        check_close(link[i].dependable_db, alone.dependable_db, 0.0, "dB");
    }
    assert_true(link[1].back.used);
    assert_false(link[0].back.used);
}

static void test_stations_without_a_radio_are_skipped(void **state)
{
    farm *f = *state;
    earshot_station some[3] = {f->device[0], {.radio = NULL}, f->device[2]};
    earshot_link link[3], zero = {0};
    memset(link, 0x5a, sizeof link);
    assert_int_equal(earshot_links(f->site, EARSHOT_MODEL_DIRECT, F_HZ, NEED, &f->panel, some, 3, NULL, link),
                     EARSHOT_OK);
    assert_memory_equal(&link[1], &zero, sizeof zero);
    assert_true(link[2].out.used);
}

static void test_failing_sweeps_leave_the_links_alone(void **state)
{
    farm *f = *state;
    earshot_station some[2] = {f->device[0], f->device[1]};
    earshot_link link[2], untouched[2];
    memset(link, 0x5a, sizeof link);
    memcpy(untouched, link, sizeof link);
    some[1].at.x_m = (double)NAN;
    assert_int_equal(earshot_links(f->site, EARSHOT_MODEL_DIRECT, F_HZ, NEED, &f->panel, some, 2, NULL, link),
                     EARSHOT_ARGUMENT);
    some[1] = f->panel;
    assert_int_equal(earshot_links(f->site, EARSHOT_MODEL_DIRECT, 1e6, NEED, &f->panel, some, 2, NULL, link),
                     EARSHOT_ARGUMENT);
    assert_int_equal(earshot_links(f->site, EARSHOT_MODEL_DIRECT, F_HZ, NEED, NULL, some, 2, NULL, link),
                     EARSHOT_ARGUMENT);
    /* one that only sends cannot be heard by another that only sends */
    assert_int_equal(earshot_links(f->site, EARSHOT_MODEL_DIRECT, F_HZ, NEED, &f->device[3], f->device, 1, NULL, link),
                     EARSHOT_ARGUMENT);
    assert_memory_equal(link, untouched, sizeof link);
    assert_int_equal(earshot_links(f->site, EARSHOT_MODEL_DIRECT, F_HZ, NEED, &f->panel, NULL, 0, NULL, NULL),
                     EARSHOT_OK);
}

static earshot_grid_request request_of(const farm *f)
{
    return (earshot_grid_request){.storey = 0,
                                  .cell_x_m = 0.37,
                                  .cell_y_m = 0.53,
                                  .height_m = 1.3,
                                  .radio = f->device[0].radio,
                                  .mounting_db = 1.1,
                                  .body_db = 2.2};
}

static void test_extent_of_a_storey(void **state)
{
    const farm *f = *state;
    earshot_point low, high;
    assert_true(earshot_storey_extent(f->site, 0, &low, &high));
    check_close(low.x_m, -0.1, 1e-12, "m");
    check_close(low.y_m, -3.4, 1e-12, "m"); /* the gate's contact, outdoors */
    check_close(high.x_m, 17.8, 1e-12, "m");
    check_close(high.y_m, 7.6, 1e-12, "m");
    assert_true(earshot_storey_extent(f->site, 1, &low, &high));
    check_close(low.x_m, 7.2, 1e-12, "m");
    check_close(high.y_m, 2.4, 1e-12, "m");
    assert_false(earshot_storey_extent(f->site, 2, &low, &high));
}

static void test_cells_hold_the_margin_at_their_centres(void **state)
{
    const farm *f = *state;
    const earshot_grid_request request = request_of(f);
    earshot_grid grid;
    assert_int_equal(earshot_grid_fill(f->site, EARSHOT_MODEL_DIRECT, F_HZ, NEED, &f->panel, &request, NULL, &grid),
                     EARSHOT_OK);
    assert_int_equal(grid.columns, 49); /* 17.9 m / 0.37 m = 48.4 */
    assert_int_equal(grid.rows, 21);    /* 11.0 m / 0.53 m = 20.8 */
    check_close(grid.z_m, 1.6, 1e-12, "m");
    const size_t row = 6, column = 17; /* counted from the top of the page */
    earshot_station carried = {.radio = request.radio, .mounting_db = 1.1, .body_db = 2.2};
    carried.at = (earshot_vec3){-0.1 + 17.5 * 0.37, -3.4 + 14.5 * 0.53, 1.6};
    const earshot_link there = one_link(f, &carried);
    check_close(grid.margin_db[row * grid.columns + column], there.margin_db, 0.0101, "dB");
    check_close(grid.dependable_db[row * grid.columns + column], there.dependable_db, 0.0101, "dB");
    earshot_grid_clear(&grid);
    assert_null(grid.margin_db);
    earshot_grid_clear(&grid);
}

static void test_threads_do_not_show(void **state)
{
    farm *f = *state;
    const earshot_grid_request request = request_of(f);
    earshot_grid one;
    earshot_link link_one[5];
    use_threads(1);
    assert_int_equal(earshot_grid_fill(f->site, EARSHOT_MODEL_DIRECT, F_HZ, NEED, &f->panel, &request, NULL, &one),
                     EARSHOT_OK);
    assert_int_equal(earshot_links(f->site, EARSHOT_MODEL_DIRECT, F_HZ, NEED, &f->panel, f->device, 5, NULL, link_one),
                     EARSHOT_OK);
    for (int threads = 2; threads <= 7; threads += 5) {
        earshot_grid many;
        earshot_link link_many[5];
        use_threads(threads);
        assert_int_equal(earshot_grid_fill(f->site, EARSHOT_MODEL_DIRECT, F_HZ, NEED, &f->panel, &request, NULL, &many),
                         EARSHOT_OK);
        const size_t bytes = one.rows * one.columns * sizeof(double);
        assert_memory_equal(one.margin_db, many.margin_db, bytes);
        assert_memory_equal(one.dependable_db, many.dependable_db, bytes);
        earshot_grid_clear(&many);
        assert_int_equal(
            earshot_links(f->site, EARSHOT_MODEL_DIRECT, F_HZ, NEED, &f->panel, f->device, 5, NULL, link_many),
            EARSHOT_OK);
        for (size_t i = 0; i < 5; i++) {
            assert_memory_equal(&link_one[i].margin_db, &link_many[i].margin_db, sizeof(double));
            assert_memory_equal(&link_one[i].allowance_db, &link_many[i].allowance_db, sizeof(double));
            assert_memory_equal(&link_one[i].loss.loss_db, &link_many[i].loss.loss_db, sizeof(double));
        }
    }
    earshot_grid_clear(&one);
}

static bool stop_at_once(void *context, double done)
{
    (void)done;
    ++*(int *)context;
    return false;
}

static void check_refused(const farm *f, earshot_grid_request request, earshot_status status)
{
    earshot_grid grid;
    memset(&grid, 0x5a, sizeof grid);
    assert_int_equal(earshot_grid_fill(f->site, EARSHOT_MODEL_DIRECT, F_HZ, NEED, &f->panel, &request, NULL, &grid),
                     status);
    assert_null(grid.margin_db);
    assert_int_equal(grid.rows, 0);
}

static void test_grids_refused(void **state)
{
    const farm *f = *state;
    const earshot_grid_request good = request_of(f);
    earshot_grid_request request = good;
    request.cell_x_m = 0.0099;
    check_refused(f, request, EARSHOT_ARGUMENT);
    request = good;
    request.cell_y_m = (double)NAN;
    check_refused(f, request, EARSHOT_ARGUMENT);
    request = good;
    request.storey = 2;
    check_refused(f, request, EARSHOT_ARGUMENT); /* nothing there */
    request.storey = 3;
    check_refused(f, request, EARSHOT_ARGUMENT); /* no such storey */
    request = good;
    request.radio = NULL;
    check_refused(f, request, EARSHOT_ARGUMENT);
    request = good;
    request.height_m = (double)INFINITY;
    check_refused(f, request, EARSHOT_ARGUMENT);
    request = good;
    request.body_db = (double)NAN;
    check_refused(f, request, EARSHOT_ARGUMENT);
}

static void test_too_many_cells_are_refused(void **state)
{
    (void)state;
    earshot_plan *plan = plan_of("plan 1\nradio hub erp=13dBm sensitivity=-108dBm\nstorey g level=0m height=2.5m\n"
                                 "receiver panel 0,0 at=1m radio=hub\ndevice far contact 40,30 at=1m radio=hub\n");
    earshot_site *site = site_of(plan, NULL);
    earshot_station panel;
    assert_int_equal(earshot_receiver_station(site, 0, F_HZ, &panel), EARSHOT_OK);
    const earshot_grid_request request = {.cell_x_m = 0.01, .cell_y_m = 0.02, .radio = panel.radio};
    earshot_grid grid;
    assert_int_equal(earshot_grid_fill(site, EARSHOT_MODEL_DIRECT, F_HZ, NEED, &panel, &request, NULL, &grid),
                     EARSHOT_ARGUMENT);
    assert_null(grid.margin_db);
    earshot_site_free(site);
    earshot_plan_free(plan);
}

static void test_a_watch_stops_grids_and_sweeps(void **state)
{
    farm *f = *state;
    int calls = 0;
    const earshot_watch watch = {stop_at_once, &calls};
    const earshot_grid_request request = request_of(f);
    earshot_grid grid;
    earshot_link link[5] = {{.margin_db = 41.7}};
    use_threads(1); /* with one thread the watch is sure to be asked */
    assert_int_equal(earshot_grid_fill(f->site, EARSHOT_MODEL_DIRECT, F_HZ, NEED, &f->panel, &request, &watch, &grid),
                     EARSHOT_INTERNAL);
    assert_null(grid.margin_db);
    assert_int_equal(earshot_links(f->site, EARSHOT_MODEL_DIRECT, F_HZ, NEED, &f->panel, f->device, 5, &watch, link),
                     EARSHOT_INTERNAL);
    check_close(link[0].margin_db, 41.7, 0.0, "dB");
    assert_int_equal(calls, 2);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(test_sweep_is_the_links_one_by_one),
        cmocka_unit_test(test_stations_without_a_radio_are_skipped),
        cmocka_unit_test(test_failing_sweeps_leave_the_links_alone),
        cmocka_unit_test(test_extent_of_a_storey),
        cmocka_unit_test(test_cells_hold_the_margin_at_their_centres),
        cmocka_unit_test(test_threads_do_not_show),
        cmocka_unit_test(test_grids_refused),
        cmocka_unit_test(test_too_many_cells_are_refused),
        cmocka_unit_test(test_a_watch_stops_grids_and_sweeps),
    };
    return cmocka_run_group_tests(tests, set_up, tear_down);
}

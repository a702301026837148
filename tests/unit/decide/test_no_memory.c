/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Memory runs out at the first allocation, the second, and so on: each call fails cleanly until it has enough. Leaks
 * show under the address sanitizer. */
#include "support/check.h"

#ifdef _OPENMP
#include <omp.h>
#endif

#include "support/plans.h"

static const double F_HZ = 868.3e6;

static long left = -1; /* allocations that still succeed; negative: all */

static bool runs_out(void)
{
    if (left < 0) return false;
    return left-- == 0;
}

void *__real_malloc(size_t size);
void *__real_calloc(size_t n, size_t size);
void *__real_realloc(void *old, size_t size);
void *__wrap_malloc(size_t size);
void *__wrap_calloc(size_t n, size_t size);
void *__wrap_realloc(void *old, size_t size);

void *__wrap_malloc(size_t size)
{
    return runs_out() ? NULL : __real_malloc(size);
}

void *__wrap_calloc(size_t n, size_t size)
{
    return runs_out() ? NULL : __real_calloc(n, size);
}

void *__wrap_realloc(void *old, size_t size)
{
    return runs_out() ? NULL : __real_realloc(old, size);
}

static const char PLAN[] = "plan 1\n" TEST_MATERIALS "ground wet-ground\ncost repeater=5\n"
                           "radio hub erp=13.1dBm gain=1.3dBi sensitivity=-108.6dBm twoway=yes\n"
                           "radio pir erp=7.4dBm\n"
                           "storey ground level=0m height=2.5m\n"
                           "wall thick 0,0 9.3,0 9.3,7.1 0,7.1 0,0\n"
                           "door 4.1,0 5.0,0 material=leaf\n"
                           "slab deck 0,0 9.3,0 9.3,7.1 0,7.1\n"
                           "hole 5.2,1.1 7.4,1.1 7.4,2.3 5.2,2.3\n"
                           "block tank 6.1,5.2 7.9,5.2 7.9,6.4 6.1,6.4 to=1.4m\n"
                           "wall tank 30,-6 30,6\nwall tank 33,-6 33,6\n"
                           "receiver panel 1.1,5.9 at=1.6m radio=hub\n"
                           "mount side 31,17 at=2.2m\n"
                           "capacity hub movement=1\n"
                           "device hall movement 8.5,6.9 at=2.3m radio=pir\n"
                           "device shed movement 62,3.1 at=2.3m radio=pir\n"
                           "scene other swap=thick:thin\n";

typedef struct shop {
    earshot_plan *plan;
    earshot_site *site;
} shop;

static int set_up(void **state)
{
    shop *s = calloc(1, sizeof *s);
    assert_non_null(s);
#ifdef _OPENMP
    omp_set_num_threads(1); /* the count of allocations is not for sharing */
#endif
    s->plan = plan_of(PLAN);
    s->site = site_of(s->plan, NULL);
    *state = s;
    return 0;
}

static int tear_down(void **state)
{
    shop *s = *state;
    earshot_site_free(s->site);
    earshot_plan_free(s->plan);
    free(s);
    return 0;
}

enum { PLENTY = 10000 };

static void test_site(void **state)
{
    const shop *s = *state;
    earshot_status status = EARSHOT_MEMORY;
    long n = 0;
    for (; status && n < PLENTY; n++) {
        earshot_site *site = s->site;
        earshot_error error = {0};
        left = n;
        status = earshot_site_new(s->plan, "other", &site, &error);
        left = -1;
        assert_true(status == EARSHOT_OK || status == EARSHOT_MEMORY);
        assert_int_equal(error.status, status);
        assert_int_equal(site == NULL, status != EARSHOT_OK);
        earshot_site_free(site);
    }
    assert_true(n > 5 && n < PLENTY);
}

static void test_check(void **state)
{
    const shop *s = *state;
    earshot_status status = EARSHOT_MEMORY;
    long n = 0;
    for (; status && n < PLENTY; n++) {
        earshot_check check;
        earshot_error error = {0};
        left = n;
        status = earshot_check_run(s->site, EARSHOT_MODEL_DIRECT, F_HZ, 0, NULL, &check, &error);
        left = -1;
        assert_true(status == EARSHOT_OK || status == EARSHOT_MEMORY);
        assert_int_equal(error.status, status);
        assert_int_equal(check.device == NULL, status != EARSHOT_OK);
        if (!status) assert_int_equal(check.n_repeater, 1);
        earshot_check_clear(&check);
    }
    assert_true(n > 10 && n < PLENTY);
}

static void test_grid(void **state)
{
    const shop *s = *state;
    const earshot_need need = {6.0, 0.95};
    earshot_station panel;
    assert_int_equal(earshot_receiver_station(s->site, 0, F_HZ, &panel), EARSHOT_OK);
    const earshot_grid_request request = {
        .cell_x_m = 5.3, .cell_y_m = 4.7, .height_m = 1.2, .radio = earshot_site_radio(s->site, "pir", F_HZ)};
    earshot_status status = EARSHOT_MEMORY;
    long n = 0;
    for (; status && n < PLENTY; n++) {
        earshot_grid grid;
        left = n;
        status = earshot_grid_fill(s->site, EARSHOT_MODEL_DIRECT, F_HZ, need, &panel, &request, NULL, &grid);
        left = -1;
        assert_true(status == EARSHOT_OK || status == EARSHOT_MEMORY);
        assert_int_equal(grid.margin_db == NULL, status != EARSHOT_OK);
        assert_int_equal(grid.rows == 0, status != EARSHOT_OK);
        earshot_grid_clear(&grid);
    }
    assert_true(n > 3 && n < PLENTY);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(test_site),
        cmocka_unit_test(test_check),
        cmocka_unit_test(test_grid),
    };
    return cmocka_run_group_tests(tests, set_up, tear_down);
}

/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Memory runs out at the first allocation, the second, and so on: each call fails cleanly until it has enough. Leaks
 * show under the address sanitizer. */
#include "support/check.h"

#ifdef _OPENMP
#include <omp.h>
#endif

#include "support/plans.h"

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

static const char PLAN[] =
    "plan 1\nband 868.3MHz\n" TEST_MATERIALS "radio hub sensitivity=-98.6dBm\nradio pir erp=7.4dBm\n"
    "storey ground level=0m height=2.5m\nwall thick 3,0 3,9\nwall thin 6,0 6,9\n"
    "receiver panel 1.1,5.9 at=1.6m radio=hub\n"
    "device a movement 5,1 at=2.3m radio=pir\ndevice b movement 8,2 at=2.3m radio=pir\n"
    "device c movement 8.5,8 at=2.3m radio=pir\n";
static const char TEXT[] = "device,x,y,z,storey,band,level,date,heard,note\n"
                           "a,,,,,868,-52,2025-01-01,,first\na,,,,,868,-51,2026-01-01,,\nb,,,,,868,-58,2026-01-01,,\n"
                           "c,,,,,868,,,yes,\n,1,1,1,ground,868,-40,,,\n,2,2,1,ground,868,-43,,,\n"
                           ",4,2,1,ground,868,-50,,,\n,5,7,1,ground,868,-53,,,\n,7,3,1,ground,868,-55,,,\n"
                           ",7,8,1,ground,868,-54,,,\n";

typedef struct bench {
    earshot_plan *plan;
    earshot_findings *findings;
    earshot_readings *readings;
} bench;

static int set_up(void **state)
{
    bench *b = calloc(1, sizeof *b);
    assert_non_null(b);
#ifdef _OPENMP
    omp_set_num_threads(1); /* the count of allocations is not for sharing */
#endif
    b->plan = plan_of(PLAN);
    b->findings = calloc(1, sizeof *b->findings);
    assert_int_equal(earshot_readings_read(TEXT, sizeof TEXT - 1, "r.csv", b->plan, &b->readings, b->findings),
                     EARSHOT_OK);
    *state = b;
    return 0;
}

static int tear_down(void **state)
{
    bench *b = *state;
    earshot_readings_free(b->readings);
    free(b->findings);
    earshot_plan_free(b->plan);
    free(b);
    return 0;
}

enum { MOST = 200000 };

static void readings_run_out(void **state)
{
    bench *b = *state;
    for (long allowed = 0; allowed < MOST; allowed++) {
        earshot_readings *readings;
        left = allowed;
        const earshot_status status =
            earshot_readings_read(TEXT, sizeof TEXT - 1, "r.csv", b->plan, &readings, b->findings);
        left = -1;
        if (!status) {
            assert_true(allowed > 3);
            earshot_readings_free(readings);
            return;
        }
        assert_int_equal(status, EARSHOT_MEMORY);
        assert_null(readings);
    }
    fail();
}

/* Steps grow, as a calibration allocates thousands of times. */
static void calibration_runs_out(void **state)
{
    bench *b = *state;
    const earshot_calibrate_options options = earshot_calibrate_defaults();
    for (long allowed = 0; allowed < MOST; allowed += allowed < 600 ? 1 : 1 + allowed / 37) {
        earshot_calibration *c;
        earshot_error error;
        left = allowed;
        const earshot_status status = earshot_calibrate(b->plan, NULL, b->readings, &options, NULL, &c, &error);
        left = -1;
        if (!status) {
            assert_true(allowed > 100);
            earshot_calibration_free(c);
            return;
        }
        assert_int_equal(status, EARSHOT_MEMORY);
        assert_null(c);
    }
    fail();
}

static void the_rest_runs_out(void **state)
{
    bench *b = *state;
    const earshot_calibrate_options options = earshot_calibrate_defaults();
    earshot_calibration *c;
    earshot_check check;
    assert_int_equal(earshot_calibrate(b->plan, NULL, b->readings, &options, NULL, &c, NULL), EARSHOT_OK);
    assert_int_equal(earshot_check_run(c->after, EARSHOT_MODEL_DIRECT, 868.3e6, 0, NULL, &check, NULL), EARSHOT_OK);
    bool done = false;
    for (long allowed = 0; allowed < MOST && !done; allowed++) {
        earshot_visits visits;
        earshot_next next[4];
        earshot_check again;
        size_t n;
        double doubt;
        left = allowed;
        const earshot_status seen = earshot_visits_find(c, &visits);
        left = allowed;
        const earshot_status ranked = earshot_next_readings(c, &check, next, &n, &doubt);
        left = allowed;
        const earshot_status checked =
            earshot_check_run(c->after, EARSHOT_MODEL_DIRECT, 868.3e6, 0, NULL, &again, NULL);
        left = -1;
        assert_true(!seen || seen == EARSHOT_MEMORY);
        assert_true(!ranked || ranked == EARSHOT_MEMORY);
        assert_true(!checked || checked == EARSHOT_MEMORY);
        earshot_check_clear(&again);
        earshot_visits_clear(&visits);
        done = !seen && !ranked && !checked;
    }
    assert_true(done);
    earshot_check_clear(&check);
    earshot_calibration_free(c);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test_setup_teardown(readings_run_out, set_up, tear_down),
        cmocka_unit_test_setup_teardown(calibration_runs_out, set_up, tear_down),
        cmocka_unit_test_setup_teardown(the_rest_runs_out, set_up, tear_down),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}

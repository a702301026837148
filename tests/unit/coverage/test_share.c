/* SPDX-License-Identifier: GPL-3.0-or-later */
/* The loop that threads share. */
#include "support/check.h"

#include <stdatomic.h>
#include <time.h>
#ifdef _OPENMP
#include <omp.h>
#endif

#include "coverage/share.h"

enum { ITEMS = 5003 };

typedef struct tally {
    atomic_uint times[ITEMS];
    size_t fails_from, fails_at;
} tally;

static tally work_of_all; /* large, and the same for all tests */

static tally *fresh_tally(void)
{
    for (size_t i = 0; i < ITEMS; i++) atomic_init(&work_of_all.times[i], 0);
    work_of_all.fails_at = work_of_all.fails_from = ITEMS;
    return &work_of_all;
}

static earshot_status count(void *work, size_t i)
{
    tally *t = work;
    atomic_fetch_add(&t->times[i], 1);
    if (i == t->fails_at) return EARSHOT_MEMORY;
    return i >= t->fails_from ? EARSHOT_ARGUMENT : EARSHOT_OK;
}

static void use_threads(int n)
{
#ifdef _OPENMP
    omp_set_num_threads(n);
#else
    (void)n;
#endif
}

static void test_every_item_is_done_once(void **state)
{
    (void)state;
    tally *t = fresh_tally();
    use_threads(3);
    assert_int_equal(es_share(ITEMS, count, t, NULL), EARSHOT_OK);
    for (size_t i = 0; i < ITEMS; i++) assert_int_equal(atomic_load(&t->times[i]), 1);
    assert_int_equal(es_share(0, count, t, NULL), EARSHOT_OK);
}

/* The first item that fails decides, whichever thread fails first. */
static void test_first_failure_decides(void **state)
{
    (void)state;
    use_threads(3);
    for (int round = 0; round < 50; round++) {
        tally *t = fresh_tally();
        t->fails_at = 1234;
        t->fails_from = 1235;
        assert_int_equal(es_share(ITEMS, count, t, NULL), EARSHOT_MEMORY);
        for (size_t i = 0; i <= 1234; i++) assert_int_equal(atomic_load(&t->times[i]), 1);
    }
}

#ifdef _OPENMP
/* Two items that fail in a set order, whichever threads they are on. */
typedef struct duel {
    size_t first_to_fail;
    atomic_bool begun[2], failed;
} duel;

static void wait_for(const atomic_bool *flag)
{
    const time_t start = time(NULL);
    while (!atomic_load(flag) && time(NULL) - start < 20) {
    }
}

static earshot_status fail_in_turn(void *work, size_t i)
{
    duel *d = work;
    if (i != 0 && i != ITEMS / 2) return EARSHOT_OK;
    const size_t mine = i != 0;
    atomic_store(&d->begun[mine], true);
    wait_for(&d->begun[1 - mine]);
    if (mine == d->first_to_fail)
        atomic_store(&d->failed, true);
    else {
        wait_for(&d->failed);
        const double start = omp_get_wtime(); /* the other still has to be noted */
        while (omp_get_wtime() - start < 0.05) {
        }
    }
    return mine ? EARSHOT_ARGUMENT : EARSHOT_MEMORY;
}

static void test_order_in_time_does_not_matter(void **state)
{
    (void)state;
    use_threads(3);
    for (size_t first = 0; first < 2; first++) {
        duel d = {.first_to_fail = first};
        assert_int_equal(es_share(ITEMS, fail_in_turn, &d, NULL), EARSHOT_MEMORY);
    }
}
#endif

typedef struct watcher {
    double last, stop_at;
    size_t calls;
    bool fell;
} watcher;

static bool watch_it(void *context, double done)
{
    watcher *w = context;
    if (done < w->last || done > 1.0) w->fell = true;
    w->last = done;
    w->calls++;
    return done < w->stop_at;
}

static void test_progress_rises_and_is_not_told_too_often(void **state)
{
    (void)state;
    watcher w = {.stop_at = 2.0};
    const earshot_watch watch = {watch_it, &w};
    use_threads(1); /* of several, the first may come too late to report anything */
    assert_int_equal(es_share(ITEMS, count, fresh_tally(), &watch), EARSHOT_OK);
    assert_true(w.calls >= 1);
    assert_true(w.calls <= 210);
    assert_false(w.fell);
}

static void test_a_watch_can_stop_it(void **state)
{
    (void)state;
    tally *t = fresh_tally();
    watcher w = {.stop_at = 0.0};
    const earshot_watch watch = {watch_it, &w};
    use_threads(1); /* of several, the first may come too late to report anything */
    assert_int_equal(es_share(ITEMS, count, t, &watch), EARSHOT_INTERNAL);
    assert_int_equal(w.calls, 1);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(test_every_item_is_done_once),
        cmocka_unit_test(test_first_failure_decides),
#ifdef _OPENMP
        cmocka_unit_test(test_order_in_time_does_not_matter),
#endif
        cmocka_unit_test(test_progress_rises_and_is_not_told_too_often),
        cmocka_unit_test(test_a_watch_can_stop_it),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}

/* SPDX-License-Identifier: GPL-3.0-or-later */
/* The n-th allocation fails, for every n: the status says so, nothing is given out and nothing leaks (which the
 * sanitized build sees). */
#include "support/check.h"

#include "support/nomem.h"
#include "support/plans.h"
#include "support/random_plan.h"

static earshot_findings *findings;

static void reading_survives_every_failure(void **state)
{
    (void)state;
    random_plan p;
    make_random_plan(&p, 41);
    long n = 0;
    for (;; n++) {
        earshot_plan *plan = (earshot_plan *)&p;
        fail_allocation(n);
        const earshot_status status = earshot_plan_read(p.text.data, p.text.size, "test.plan", &plan, findings);
        const bool failed = allocation_failed();
        fail_allocation(-1);
        assert_int_equal(status, failed ? EARSHOT_MEMORY : EARSHOT_OK);
        assert_true(failed == (plan == NULL));
        earshot_plan_free(plan);
        if (!failed) break;
    }
    print_message("%ld allocations\n", n);
    assert_true(n > 30);
    earshot_text_clear(&p.text);
}

static void writing_survives_every_failure(void **state)
{
    (void)state;
    random_plan p;
    make_random_plan(&p, 41);
    earshot_plan *plan = plan_of(p.text.data);
    long n = 0;
    for (;; n++) {
        char *text = (char *)&p;
        fail_allocation(n);
        const earshot_status status = earshot_plan_write(plan, &text);
        const bool failed = allocation_failed();
        fail_allocation(-1);
        assert_int_equal(status, failed ? EARSHOT_MEMORY : EARSHOT_OK);
        assert_true(failed == (text == NULL));
        earshot_text_free(text);
        if (!failed) break;
    }
    assert_true(n > 3);
    earshot_plan_free(plan);
    earshot_text_clear(&p.text);
}

/* Hints are made in memory of their own: without it the mistake still stands. */
static void mistakes_survive_every_failure(void **state)
{
    (void)state;
    static const char TEXT[] = "plan 1\nstorey g level=0m height=2.5m\nwall stud 0,0 1,1 colour=red\n"
                               "device a cat 1,1 at=1m radio=none\ndevice b fob 1,1 at=1m radio=nobody\n";
    for (long n = 0;; n++) {
        earshot_plan *plan;
        fail_allocation(n);
        const earshot_status status = earshot_plan_read(TEXT, sizeof TEXT - 1, "test.plan", &plan, findings);
        const bool failed = allocation_failed();
        fail_allocation(-1);
        assert_null(plan);
        assert_true(status == EARSHOT_PLAN_SYNTAX || (failed && status == EARSHOT_MEMORY));
        if (!failed) break;
    }
    assert_int_equal(findings->n_mistakes, 3);
}

static int start(void **state)
{
    (void)state;
    findings = calloc(1, sizeof *findings);
    return findings ? 0 : -1;
}

static int end(void **state)
{
    (void)state;
    free(findings);
    return 0;
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(reading_survives_every_failure),
        cmocka_unit_test(writing_survives_every_failure),
        cmocka_unit_test(mistakes_survive_every_failure),
    };
    return cmocka_run_group_tests(tests, start, end);
}

/* SPDX-License-Identifier: GPL-3.0-or-later */
/* replaces=yes: a material takes another's place, whichever comes first. */
#include "support/check.h"

#include "support/plans.h"

#define OLD "material stone loss=433:9.7,868:13.1 spread=3.7dB\n"
#define NEW "material stone loss=433:7.3,868:11.9 spread=1.3dB replaces=yes\n"

static void check_replaced(const earshot_plan *plan)
{
    const earshot_material *stone = &plan->material[material_named(plan, "stone")];
    size_t n = 0;
    for (size_t i = 0; i < plan->n_materials; i++) n += strcmp(plan->material[i].name, "stone") == 0;
    assert_int_equal(n, 1);
    assert_true(stone->replaces);
    check_close(stone->loss[0].loss_db, 7.3, 0.0, "dB");
    check_close(stone->spread_db, 1.3, 0.0, "dB");
}

static void the_replacing_one_counts_in_either_order(void **state)
{
    (void)state;
    static const char *const TEXT[] = {
        "plan 1\nband 868.3MHz\n" OLD NEW "storey g level=0m height=2.5m\nwall stone 0,0 5,0\n",
        "plan 1\nband 868.3MHz\n" NEW OLD "storey g level=0m height=2.5m\nwall stone 0,0 5,0\n",
        "plan 1\nband 868.3MHz\n" NEW "storey g level=0m height=2.5m\nwall stone 0,0 5,0\n"};
    for (size_t i = 0; i < sizeof TEXT / sizeof TEXT[0]; i++) {
        earshot_plan *plan = plan_of(TEXT[i]);
        earshot_site *site = site_of(plan, NULL);
        check_replaced(plan);
        check_close(earshot_material_loss_db(site, earshot_site_element(site, 0).material, 868e6, NULL), 11.9, 1e-9,
                    "dB");
        earshot_site_free(site);
        earshot_plan_free(plan);
    }
}

static void a_plan_written_and_read_again_is_equal(void **state)
{
    (void)state;
    earshot_plan *plan = plan_of("plan 1\n" OLD NEW "storey g level=0m height=2.5m\nwall stone 0,0 5,0\n");
    char *text;
    assert_int_equal(earshot_plan_write(plan, &text), EARSHOT_OK);
    earshot_plan *again = plan_of(text);
    assert_true(earshot_plan_equal(plan, again));
    check_replaced(again);
    earshot_text_free(text);
    earshot_plan_free(again);
    earshot_plan_free(plan);
}

static void two_that_replace_are_one_too_many(void **state)
{
    (void)state;
    static const char TEXT[] = "plan 1\n" OLD NEW NEW;
    earshot_plan *plan;
    earshot_findings *findings = calloc(1, sizeof *findings);
    assert_non_null(findings);
    assert_int_equal(earshot_plan_read(TEXT, sizeof TEXT - 1, "t", &plan, findings), EARSHOT_PLAN_INVALID);
    assert_int_equal(findings->n_mistakes, 1);
    assert_int_equal(findings->mistake[0].line, 4);
    free(findings);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(the_replacing_one_counts_in_either_order),
        cmocka_unit_test(a_plan_written_and_read_again_is_equal),
        cmocka_unit_test(two_that_replace_are_one_too_many),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}

/* SPDX-License-Identifier: GPL-3.0-or-later */
/* The built-in materials can be read by the same rules as anybody's, and a plan finds in them what it counts on. */
#include "support/check.h"

#include "support/plans.h"

static void built_in_text_is_a_plan(void **state)
{
    (void)state;
    const char *text = earshot_builtin_materials();
    assert_non_null(strstr(text, "plan 1"));
    earshot_plan *plan = plan_of("plan 1\n");
    assert_true(plan->n_materials >= 35);
    for (size_t i = 0; i < plan->n_materials; i++) {
        const earshot_material *m = &plan->material[i];
        assert_true(m->builtin);
        assert_int_equal(m->place.file, 1);
        assert_non_null(m->source);
        assert_true(m->spread_db >= 0);
    }
    assert_string_equal(plan->file[1], "built-in materials");
    earshot_plan_free(plan);
}

static void what_plans_count_on_is_there(void **state)
{
    (void)state;
    earshot_plan *plan = plan_of("plan 1\nground medium-dry\n");
    static const char *const MATERIALS[] = {"timber-door", "double-glazing", "open", "metal"};
    for (size_t i = 0; i < 4; i++) material_named(plan, MATERIALS[i]);
    const earshot_material *open = &plan->material[material_named(plan, "open")];
    for (size_t i = 0; i < open->n_losses; i++) check_close(open->loss[i].loss_db, 0, 0, "dB");
    static const char *const CLASSES[] = {"air", "metal", "brick", "concrete", "wood", "glass", "plasterboard"};
    for (size_t c = 0; c < 7; c++) {
        size_t i = 0;
        while (i < plan->n_electricals && strcmp(plan->electrical[i].name, CLASSES[c]) != 0) i++;
        assert_true(i < plan->n_electricals);
        assert_int_equal(plan->electrical[i].conductor ? 1 : 0, strcmp(CLASSES[c], "metal") == 0 ? 1 : 0);
    }
    earshot_plan_free(plan);
}

static void a_plan_may_have_its_own_idea_of_one(void **state)
{
    (void)state;
    earshot_plan *plain = plan_of("plan 1\n");
    earshot_plan *plan = plan_of("plan 1\nmaterial stud loss=433:2.25dB,868:3.5dB spread=2dB\n"
                                 "electrical brick a=4.125 c=0.02 d=0.25\n");
    assert_int_equal(plan->n_materials, plain->n_materials);
    assert_int_equal(plan->n_electricals, plain->n_electricals);
    const size_t stud = material_named(plan, "stud");
    assert_int_equal(stud, plan->n_materials - 1); /* the built-in ones come first */
    assert_false(plan->material[stud].builtin);
    check_close(plan->material[stud].loss[1].loss_db, 3.5, 0, "dB");
    check_close(plan->electrical[plan->n_electricals - 1].a, 4.125, 0, "");
    for (size_t i = 0; i < stud; i++) assert_string_not_equal(plan->material[i].name, "stud");
    earshot_plan_free(plan);
    earshot_plan_free(plain);
}

/* Every built-in thing at once: none is lost, and none is found in the place of another. */
static void a_plan_may_have_its_own_idea_of_all(void **state)
{
    (void)state;
    earshot_plan *plain = plan_of("plan 1\n");
    earshot_plan *plan = plan_of(earshot_builtin_materials());
    assert_int_equal(plan->n_materials, plain->n_materials);
    assert_int_equal(plan->n_electricals, plain->n_electricals);
    for (size_t i = 0; i < plan->n_materials; i++) assert_false(plan->material[i].builtin);
    assert_true(earshot_plan_equal(plain, plan));
    earshot_plan_free(plan);
    earshot_plan_free(plain);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(built_in_text_is_a_plan),
        cmocka_unit_test(what_plans_count_on_is_there),
        cmocka_unit_test(a_plan_may_have_its_own_idea_of_one),
        cmocka_unit_test(a_plan_may_have_its_own_idea_of_all),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}

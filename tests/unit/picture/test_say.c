/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "support/check.h"

#include <string.h>

#include "base/text.h"
#include "present/language/say.h"

static unsigned placeholders(const char *words)
{
    unsigned set = 0;
    for (const char *at = strchr(words, '{'); at; at = strchr(at + 1, '{')) {
        assert_in_range(at[1], '1', '9');
        assert_int_equal(at[2], '}');
        set |= 1u << (at[1] - '0');
    }
    return set;
}

static void every_language_says_everything(void **state)
{
    (void)state;
    for (int m = 0; m < ES_MESSAGES; m++) {
        const char *english = es_message_text(EARSHOT_ENGLISH, (es_message)m);
        const char *german = es_message_text(EARSHOT_GERMAN, (es_message)m);
        if (!*english || !*german || placeholders(english) != placeholders(german))
            fail_msg("message %d: '%s' and '%s'", m, english, german);
    }
}

static void every_built_in_material_has_a_german_name(void **state)
{
    (void)state;
    static const char PLAN[] = "plan 1\nradio r erp=1dBm sensitivity=-100dBm\nstorey s level=0m height=2m\n"
                               "wall stud 0,0 1,0\nreceiver p 0,1 at=1m radio=r\n";
    static earshot_findings findings;
    earshot_plan *plan;
    assert_int_equal(earshot_plan_read(PLAN, strlen(PLAN), "plan", &plan, &findings), EARSHOT_OK);
    assert_true(plan->n_materials > 50);
    for (size_t i = 0; i < plan->n_materials; i++) {
        const char *german = es_say_material(EARSHOT_GERMAN, &plan->material[i]);
        const char *english = es_say_material(EARSHOT_ENGLISH, &plan->material[i]);
        if (strcmp(german, english) == 0) fail_msg("'%s' is not translated", plan->material[i].name);
    }
    earshot_plan_free(plan);
}

static void values_go_where_the_language_wants_them(void **state)
{
    (void)state;
    earshot_text text = {0};
    ES_SAY(&text, EARSHOT_ENGLISH, ES_SAY_READINGS_COUNT, "17", "5");
    assert_string_equal(text.data, "17 readings were taken at 5 places. ");
    text.size = 0;
    ES_SAY(&text, EARSHOT_GERMAN, ES_SAY_READINGS_COUNT, "17", "5");
    assert_string_equal(text.data, "An 5 Stellen wurden 17 Messungen gemacht. ");
    earshot_text_clear(&text);
}

static void figures_are_written_as_people_write_them(void **state)
{
    (void)state;
    char buffer[ES_SAY_FIGURE];
    assert_string_equal(es_say_figure(buffer, EARSHOT_ENGLISH, 12.345, 1), "12.3");
    assert_string_equal(es_say_figure(buffer, EARSHOT_GERMAN, 12.345, 1), "12,3");
    assert_string_equal(es_say_figure(buffer, EARSHOT_ENGLISH, -7.25, 0), "\xe2\x88\x92"
                                                                          "7");
    assert_string_equal(es_say_figure(buffer, EARSHOT_GERMAN, -0.04, 1), "0,0");
    assert_string_equal(es_say_figure(buffer, EARSHOT_ENGLISH, NAN, 1), "\xe2\x80\x93");
    assert_string_equal(es_say_length(buffer, EARSHOT_GERMAN, 3.46), "3,5\xc2\xa0m");
    assert_string_equal(es_say_length(buffer, EARSHOT_ENGLISH, 28.4), "28\xc2\xa0m");
}

static void kinds_and_verdicts_have_words(void **state)
{
    (void)state;
    for (int k = 0; k < EARSHOT_KINDS; k++) assert_true(strlen(es_say_kind(EARSHOT_GERMAN, (earshot_kind)k)) > 3);
    assert_string_equal(es_say_verdict(EARSHOT_ENGLISH, EARSHOT_VERDICT_REPEATER), "repeater");
    assert_string_equal(es_say_verdict(EARSHOT_GERMAN, EARSHOT_VERDICT_WIRE), "Kabel");
    assert_string_equal(es_say_kind(EARSHOT_ENGLISH, EARSHOT_KIND_FLOOD), "water leak detector");
    assert_null(earshot_language_code(EARSHOT_LANGUAGES));
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(every_language_says_everything),
        cmocka_unit_test(every_built_in_material_has_a_german_name),
        cmocka_unit_test(values_go_where_the_language_wants_them),
        cmocka_unit_test(figures_are_written_as_people_write_them),
        cmocka_unit_test(kinds_and_verdicts_have_words),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}

/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "support/check.h"

#include <string.h>

#include "earshot/survey.h"
#include "survey/date.h"

static void known_days(void **state)
{
    (void)state;
    static const struct {
        const char *text;
        long day;
    } known[] = {
        {"1970-01-01", 0}, {"1999-12-31", 10956}, {"2000-02-29", 11016}, {"2026-03-14", 20526}, {"2100-03-01", 47541}};
    for (size_t i = 0; i < sizeof known / sizeof known[0]; i++) {
        long day;
        char text[EARSHOT_DATE];
        assert_true(es_date_read(known[i].text, 10, &day));
        assert_int_equal(day, known[i].day);
        earshot_day_text(day, text);
        assert_string_equal(text, known[i].text);
    }
}

static void every_day_comes_back(void **state)
{
    (void)state;
    for (long day = 0; day < 84000; day += 37) {
        long back;
        char text[EARSHOT_DATE];
        earshot_day_text(day, text);
        assert_true(es_date_read(text, strlen(text), &back));
        assert_int_equal(back, day);
    }
}

static void what_is_no_date(void **state)
{
    (void)state;
    static const char *const wrong[] = {"2026-02-29", "2026-13-01", "2026-00-10", "2026-04-31",
                                        "2026-4-3",   "14.03.2026", "2026/03/14", "1969-12-31",
                                        "2200-01-01", "2026-03-1a", "2026-03-00", ""};
    long day;
    for (size_t i = 0; i < sizeof wrong / sizeof wrong[0]; i++)
        assert_false(es_date_read(wrong[i], strlen(wrong[i]), &day));
    char text[EARSHOT_DATE];
    earshot_day_text(EARSHOT_NO_DAY, text);
    assert_string_equal(text, "");
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(known_days),
        cmocka_unit_test(every_day_comes_back),
        cmocka_unit_test(what_is_no_date),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}

/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Numbers and plans are the same in a locale with a decimal comma. */
#define _POSIX_C_SOURCE 200809L
#include "support/check.h"

#include <string.h>

#include "base/number.h"
#include "support/comma_locale.h"
#include "support/plans.h"

static const char PLAN[] = "plan 1\nband 868.30MHz\nradio hub erp=13.5dBm sensitivity=-107.25dBm\n"
                           "storey ground level=0m height=2.55m\nwall stud 0.25,0 5.125,0\n"
                           "receiver panel 1.5,0.75 at=1.6m radio=hub\n";

static void numbers_keep_their_point(void **state)
{
    (void)state;
    const locale_t locale = enter_comma_locale();
    if (!locale) skip();
    double value = 0;
    char text[32];
    assert_int_equal(es_number_read("2.5", 3, &value), 3);
    check_close(value, 2.5, 0, "");
    assert_int_equal(es_number_read("2,5", 3, &value), 1);
    es_number_write(text, sizeof text, 868.3);
    assert_string_equal(text, "868.3");
    es_format(text, sizeof text, "%.2f", 1.25);
    assert_string_equal(text, "1.25");
    leave_comma_locale(locale);
}

static void locale_of_the_thread_is_put_back(void **state)
{
    (void)state;
    const locale_t locale = enter_comma_locale();
    if (!locale) skip();
    char text[32];
    es_format(text, sizeof text, "%.1f", 2.5);
    snprintf(text, sizeof text, "%.1f", 2.5);
    assert_string_equal(text, "2,5");
    leave_comma_locale(locale);
}

static void plans_read_and_write_alike(void **state)
{
    (void)state;
    earshot_plan *plain = plan_of(PLAN);
    char *expected;
    assert_int_equal(earshot_plan_write(plain, &expected), EARSHOT_OK);
    const locale_t locale = enter_comma_locale();
    if (!locale) {
        earshot_text_free(expected);
        earshot_plan_free(plain);
        skip();
    }
    earshot_plan *plan = plan_of(PLAN);
    char *text;
    assert_int_equal(earshot_plan_write(plan, &text), EARSHOT_OK);
    leave_comma_locale(locale);
    assert_true(earshot_plan_equal(plain, plan));
    assert_string_equal(text, expected);
    assert_null(strstr(text, "13,5"));
    earshot_text_free(text);
    earshot_text_free(expected);
    earshot_plan_free(plan);
    earshot_plan_free(plain);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(numbers_keep_their_point),
        cmocka_unit_test(locale_of_the_thread_is_put_back),
        cmocka_unit_test(plans_read_and_write_alike),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}

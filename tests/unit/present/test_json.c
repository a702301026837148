/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "support/check.h"

#include <stdlib.h>
#include <string.h>

#include "present/json.h"
#include "present/sample.h"

static void expect_number(double value, int decimals, const char *wanted)
{
    json_t *array = json_array();
    json_array_append_new(array, es_json_number(value, decimals));
    char *dumped = json_dumps(array, JSON_COMPACT | JSON_REAL_PRECISION(15));
    assert_string_equal(dumped, wanted);
    free(dumped);
    json_decref(array);
}

static void numbers_print_as_they_were_rounded(void **state)
{
    (void)state;
    expect_number(12.34, 2, "[12.34]");
    expect_number(-98.765432, 3, "[-98.765]");
    expect_number(0.1 + 0.2, 3, "[0.3]");
    expect_number(-0.0001, 3, "[0.0]");
    expect_number((double)NAN, 2, "[null]");
    expect_number((double)-INFINITY, 2, "[null]");
}

static void the_whole_is_json_with_what_was_checked(void **state)
{
    (void)state;
    sample s;
    earshot_text text = {0};
    json_error_t error;
    sample_new(&s);
    assert_int_equal(earshot_json_check(&s.check, 1, &text), EARSHOT_OK);
    json_t *root = json_loads(text.data, 0, &error);
    assert_non_null(root);
    assert_string_equal(json_string_value(json_object_get(root, "site")), "Sample \"site\"");
    const json_t *check = json_array_get(json_object_get(root, "checks"), 0);
    check_close(json_real_value(json_object_get(check, "band_mhz")), 868.3, 0.0, "MHz");
    assert_true(json_is_null(json_object_get(check, "scene")));
    const json_t *shed = json_array_get(json_object_get(check, "devices"), 1);
    assert_string_equal(json_string_value(json_object_get(shed, "label")), "Shed, back");
    check_close(json_real_value(json_object_get(shed, "margin_db")), s.check.device[1].link.margin_db, 1e-9, "dB");
    assert_true(json_is_null(json_object_get(shed, "to_device")));
    assert_true(json_is_null(json_object_get(json_object_get(shed, "to_receiver"), "noise_dbm")));
    const json_t *capacity = json_array_get(json_object_get(check, "capacity"), 0);
    assert_int_equal(json_integer_value(json_object_get(capacity, "used")), 1); /* the wired one does not count */
    json_decref(root);
    earshot_text_clear(&text);
    sample_free(&s);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(numbers_print_as_they_were_rounded),
        cmocka_unit_test(the_whole_is_json_with_what_was_checked),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}

/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "support/check.h"

#include <string.h>

#include "base/units.h"

typedef struct reading {
    const char *text;
    es_dimension dimension;
    double value;
} reading;

static void units_become_base_units(void **state)
{
    (void)state;
    /* ft and in: exactly 0.3048 m and 25.4 mm (international yard and pound agreement, 1959). */
    static const reading READINGS[] = {
        {"2.3m", ES_LENGTH, 2.3},
        {"2.3", ES_LENGTH, 2.3},
        {"102mm", ES_LENGTH, 0.102},
        {"35cm", ES_LENGTH, 0.35},
        {"8ft", ES_LENGTH, 2.4384},
        {"4in", ES_LENGTH, 0.1016},
        {"-4dBm", ES_LEVEL, -4},
        {"6dB", ES_RATIO, 6},
        {"2.15dBi", ES_GAIN, 2.15},
        {"868.30MHz", ES_FREQUENCY, 868300000.0},
        {"433.92", ES_FREQUENCY, 433920000.0},
        {"25kHz", ES_FREQUENCY, 25000},
        {"2.4GHz", ES_FREQUENCY, 2400000000.0},
        {"7Hz", ES_FREQUENCY, 7},
        {"95%", ES_SHARE, 0.95},
        {"0.95", ES_SHARE, 0.95},
        {"12ms", ES_TIME, 0.012},
        {"3s", ES_TIME, 3},
        {"18mA", ES_CURRENT, 0.018},
        {"0.5A", ES_CURRENT, 0.5},
        {"42", ES_PLAIN, 42},
        {"2.3 m", ES_LENGTH, 2.3},
    };
    for (size_t i = 0; i < sizeof READINGS / sizeof READINGS[0]; i++) {
        const reading *r = &READINGS[i];
        double value = 0;
        size_t at = 0;
        assert_int_equal(es_quantity_read(r->text, strlen(r->text), r->dimension, &value, &at), 0);
        check_close(value, r->value, 0, r->text); /* to the last bit: decimal text, decimal unit */
    }
}

static void refused(const char *text, es_dimension dimension, int outcome, size_t at)
{
    double value = 6.5;
    size_t found = 99;
    assert_int_equal(es_quantity_read(text, strlen(text), dimension, &value, &found), outcome);
    assert_int_equal(found, at);
    check_close(value, 6.5, 0, "untouched");
}

static void what_does_not_fit_is_refused(void **state)
{
    (void)state;
    refused("high", ES_LENGTH, 1, 0);
    refused("", ES_LENGTH, 1, 0);
    refused("nan", ES_RATIO, 1, 0);
    refused("2.3dB", ES_LENGTH, 2, 3);
    refused("2.3 dB", ES_LENGTH, 2, 4);
    refused("2.3M", ES_LENGTH, 2, 3);
    refused("18MA", ES_CURRENT, 2, 2); /* not milliampere */
    refused("868.3mHz", ES_FREQUENCY, 2, 5);
    refused("2,3m", ES_LENGTH, 2, 1);
    refused("5m", ES_PLAIN, 2, 1);
    refused("5%", ES_RATIO, 2, 1);
    refused("2.3mm2", ES_LENGTH, 2, 3);
}

static void every_dimension_names_its_units(void **state)
{
    (void)state;
    for (es_dimension d = ES_LENGTH; d <= ES_PLAIN; d++) assert_true(strlen(es_dimension_units(d)) > 0);
    assert_string_equal(es_dimension_units(ES_LENGTH), "m, cm, mm, ft or in");
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(units_become_base_units),
        cmocka_unit_test(what_does_not_fit_is_refused),
        cmocka_unit_test(every_dimension_names_its_units),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}

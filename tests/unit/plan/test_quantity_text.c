/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Quantities as text: exact, with a unit that fits, and as short as a person would write them. */
#include "support/check.h"

#include <string.h>

#include "base/number.h"
#include "plan/fields.h"
#include "support/random.h"

static void reads_back(es_dimension dimension, double value)
{
    char text[ES_QUANTITY_TEXT];
    double back = NAN;
    size_t at;
    es_quantity_write(text, dimension, value);
    assert_int_equal(es_quantity_read(text, strlen(text), dimension, &back, &at), 0);
    check_close(back, value, 0, text);
}

static void every_double_reads_back(void **state)
{
    (void)state;
    uint64_t seed = 433;
    for (es_dimension d = ES_LENGTH; d <= ES_PLAIN; d++) {
        for (int i = 0; i < 2000; i++) {
            reads_back(d, random_between(&seed, 0, 1));
            reads_back(d, random_between(&seed, -1e5, 1e10));
            reads_back(d, random_between(&seed, 0, 0.01));
        }
    }
    reads_back(ES_LENGTH, 0);
    reads_back(ES_LENGTH, -0.003);
    reads_back(ES_FREQUENCY, 868300000.00000012);
}

static void written_is(es_dimension dimension, const char *text)
{
    char again[ES_QUANTITY_TEXT];
    double value;
    size_t at;
    assert_int_equal(es_quantity_read(text, strlen(text), dimension, &value, &at), 0);
    es_quantity_write(again, dimension, value);
    assert_string_equal(again, text);
}

static void short_texts_stay_short(void **state)
{
    (void)state;
    uint64_t seed = 868;
    for (int i = 0; i < 2000; i++) {
        char number[32], text[48];
        es_format(number, sizeof number, "%.9g", random_between(&seed, 50, 100));
        es_format(text, sizeof text, "%s%%", number);
        written_is(ES_SHARE, text);
        es_format(number, sizeof number, "%.9g", random_between(&seed, 100, 5999));
        es_format(text, sizeof text, "%sMHz", number);
        written_is(ES_FREQUENCY, text);
        es_format(number, sizeof number, "%.6g", random_between(&seed, 1, 999));
        es_format(text, sizeof text, "%skHz", number);
        written_is(ES_FREQUENCY, text);
    }
    written_is(ES_LENGTH, "2.3m");
    written_is(ES_LENGTH, "0m");
    written_is(ES_LENGTH, "0.1mm");
    written_is(ES_CURRENT, "0.012A");
    written_is(ES_LEVEL, "-107.5dBm");
}

static void every_dimension_has_a_noun(void **state)
{
    (void)state;
    for (es_dimension d = ES_LENGTH; d <= ES_PLAIN; d++) assert_memory_equal(es_dimension_noun(d), "a ", 2);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(every_double_reads_back),
        cmocka_unit_test(short_texts_stay_short),
        cmocka_unit_test(every_dimension_has_a_noun),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}

/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "support/check.h"

#include <float.h>
#include <string.h>

#include "base/number.h"
#include "support/random.h"

typedef struct reading {
    const char *text;
    size_t used;
    double value;
} reading;

static void reads_what_is_a_number(void **state)
{
    (void)state;
    static const reading READINGS[] = {
        {"2.385", 5, 2.385},
        {"-17", 3, -17},
        {"+4.5m", 4, 4.5},
        {".5", 2, 0.5},
        {"5.", 2, 5},
        {"1e3x", 3, 1000},
        {"1e", 1, 1},
        {"1e+", 1, 1},
        {"1E-2", 4, 0.01},
        {"868.30MHz", 6, 868.30},
        {"007", 3, 7},
        {"1,5", 1, 1},
        {"-0", 2, 0},
        {"1e-400", 6, 0},
        {"1.7976931348623157e308", 22, DBL_MAX},
        {"0x10", 1, 0},
        {"3 4", 1, 3},
    };
    for (size_t i = 0; i < sizeof READINGS / sizeof READINGS[0]; i++) {
        double value = -1;
        assert_int_equal(es_number_read(READINGS[i].text, strlen(READINGS[i].text), &value), READINGS[i].used);
        check_close(value, READINGS[i].value, 0, READINGS[i].text);
    }
}

static void refuses_what_is_none(void **state)
{
    (void)state;
    static const char *const NONE[] = {"",    "-",    "+",     ".",      "-.", "e5",  "m",  "nan",  "inf",
                                       "NaN", "-inf", "1e999", "-1e999", " 1", "--1", ",5", "9e308"};
    for (size_t i = 0; i < sizeof NONE / sizeof NONE[0]; i++) {
        double value = 4.25;
        assert_int_equal(es_number_read(NONE[i], strlen(NONE[i]), &value), 0);
        check_close(value, 4.25, 0, "untouched");
    }
}

static void reads_no_further_than_told(void **state)
{
    (void)state;
    double value;
    assert_int_equal(es_number_read("12345", 2, &value), 2);
    check_close(value, 12, 0, "");
    assert_int_equal(es_number_read("1.5", 0, &value), 0);
    const char digits[64] = "000000000000000000000000000000000000000000000000000000000000001";
    assert_int_equal(es_number_read(digits, 63, &value), 63);
    char longer[65];
    memset(longer, '0', 64);
    assert_int_equal(es_number_read(longer, 64, &value), 0); /* longer than any double needs */
}

static void writes_the_shortest(void **state)
{
    (void)state;
    static const struct {
        double value;
        const char *text;
    } WRITTEN[] = {{0.1, "0.1"},      {2.385, "2.385"},  {-14.2, "-14.2"},
                   {100000, "1e+05"}, {0, "0"},          {1.0 / 3, "0.3333333333333333"},
                   {868.3, "868.3"},  {5e-324, "5e-324"}};
    for (size_t i = 0; i < sizeof WRITTEN / sizeof WRITTEN[0]; i++) {
        char buffer[32];
        es_number_write(buffer, sizeof buffer, WRITTEN[i].value);
        assert_string_equal(buffer, WRITTEN[i].text);
    }
}

static void what_is_written_reads_back(void **state)
{
    (void)state;
    uint64_t seed = 20240817;
    for (int i = 0; i < 3000; i++) {
        char buffer[32];
        double value, back = 0;
        const uint64_t bits = random_bits(&seed);
        memcpy(&value, &bits, sizeof value);
        if (!isfinite(value)) continue;
        es_number_write(buffer, sizeof buffer, value);
        assert_int_equal(es_number_read(buffer, strlen(buffer), &back), strlen(buffer));
        assert_memory_equal(&value, &back, sizeof value);
    }
}

static void formats_as_in_the_c_locale(void **state)
{
    (void)state;
    char buffer[32];
    assert_int_equal(es_format(buffer, sizeof buffer, "%.2f dB, %s", 3.14159, "ok"), 11);
    assert_string_equal(buffer, "3.14 dB, ok");
}

static void rounds_to_a_hundredth(void **state)
{
    (void)state;
    check_close(es_round_centi(12.3456), 12.35, 1e-12, "dB");
    check_close(es_round_centi(-7.774), -7.77, 1e-12, "dB");
    check_close(es_round_centi(5.9999999), 6.00, 0, "dB");
    assert_false(signbit(es_round_centi(-0.001)));
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(reads_what_is_a_number),     cmocka_unit_test(refuses_what_is_none),
        cmocka_unit_test(reads_no_further_than_told), cmocka_unit_test(writes_the_shortest),
        cmocka_unit_test(what_is_written_reads_back), cmocka_unit_test(formats_as_in_the_c_locale),
        cmocka_unit_test(rounds_to_a_hundredth),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}

/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "support/check.h"

#include <stdio.h>

#include "support/plans.h"

static const char PLAN[] =
    "plan 1\nband 433.92MHz 868.3MHz\n" TEST_MATERIALS "radio hub sensitivity=-107.3dBm\nradio pir erp=7.4dBm\n"
    "storey ground level=0m height=2.5m\nstorey upper level=2.7m height=2.4m\n"
    "wall thin 0,0 9.3,0\n"
    "receiver panel 1.1,5.9 at=1.6m radio=hub\n"
    "device hall movement 8.5,6.9 at=2.3m radio=pir\n"
    "device hall-smoke smoke 4.5,3.1 at=2.4m radio=pir\n";

typedef struct bench {
    earshot_plan *plan;
    earshot_findings *findings;
    earshot_readings *readings;
} bench;

static int set_up(void **state)
{
    bench *b = calloc(1, sizeof *b);
    assert_non_null(b);
    b->plan = plan_of(PLAN);
    b->findings = calloc(1, sizeof *b->findings);
    assert_non_null(b->findings);
    *state = b;
    return 0;
}

static int tear_down(void **state)
{
    bench *b = *state;
    earshot_readings_free(b->readings);
    free(b->findings);
    earshot_plan_free(b->plan);
    free(b);
    return 0;
}

static void read_good(bench *b, const char *text)
{
    earshot_readings_free(b->readings);
    const earshot_status status =
        earshot_readings_read(text, strlen(text), "r.csv", b->plan, &b->readings, b->findings);
    for (size_t i = 0; i < b->findings->n_mistakes && i < EARSHOT_MAX_FINDINGS; i++)
        print_error("%u:%u %s\n", b->findings->mistake[i].line, b->findings->mistake[i].column,
                    b->findings->mistake[i].message);
    assert_int_equal(status, EARSHOT_OK);
}

static void all_columns_are_read(void **state)
{
    bench *b = *state;
    read_good(b, "\xEF\xBB\xBF"
                 "note,heard,attenuator,noise,date,level,band,receiver,storey,z,y,x,device\r\n"
                 "\"loud, \"\"clear\"\"\",yes,10.5dB,-112dBm,2026-03-14,-71.25,868,panel,,,,,hall\r\n"
                 ",,,,,-42,433.92,panel,upper,1.5,2.25m,310cm,\r\n");
    assert_int_equal(b->readings->n, 2);
    const earshot_reading *r = b->readings->reading;
    assert_int_equal(r->line, 2);
    assert_int_equal(r->device, 0);
    check_close(r->at.z_m, 5.0, 1e-12, "m");
    check_close(r->frequency_hz, 868.3e6, 0.0, "Hz");
    assert_int_equal(r->unit, EARSHOT_LEVEL_DBM);
    check_close(r->level, -71.25, 0.0, "dBm");
    check_close(r->attenuator_db, 10.5, 0.0, "dB");
    check_close(r->noise_dbm, -112.0, 0.0, "dBm");
    assert_int_equal(r->day, 20526);
    assert_string_equal(r->note, "loud, \"clear\"");
    r++;
    assert_int_equal(r->device, EARSHOT_NONE);
    check_close(r->at.x_m, 3.1, 1e-12, "m");
    check_close(r->at.y_m, 2.25, 1e-12, "m");
    check_close(r->at.z_m, 4.2, 1e-12, "m");
    check_close(r->frequency_hz, 433.92e6, 0.0, "Hz");
    assert_int_equal(r->day, EARSHOT_NO_DAY);
    assert_null(r->note);
    assert_true(isnan(r->noise_dbm));
    assert_true(r->attenuator_db == 0.0);
}

static void a_level_has_one_of_three_units(void **state)
{
    bench *b = *state;
    static const struct {
        const char *head, *level;
        earshot_level_unit unit;
    } known[] = {
        {"level", "-71", EARSHOT_LEVEL_DBM},      {"level", "-71 dBm", EARSHOT_LEVEL_DBM},
        {"level", "23dB", EARSHOT_LEVEL_MARGIN},  {"level", "64%", EARSHOT_LEVEL_SCALE},
        {"level_db", "23", EARSHOT_LEVEL_MARGIN}, {"level_scale", "64", EARSHOT_LEVEL_SCALE},
        {"level_dbm", "-71", EARSHOT_LEVEL_DBM},  {"level_scale", "-71dBm", EARSHOT_LEVEL_DBM},
    };
    for (size_t i = 0; i < sizeof known / sizeof known[0]; i++) {
        char text[100];
        snprintf(text, sizeof text, "device,band,%s\nhall,868,%s\n", known[i].head, known[i].level);
        read_good(b, text);
        assert_int_equal(b->readings->reading[0].unit, known[i].unit);
    }
}

static void a_row_may_only_say_heard(void **state)
{
    bench *b = *state;
    read_good(b, "device,band,level,attenuator,heard\nhall,868,,20,no\nhall,868,,,yes\n");
    assert_int_equal(b->readings->reading[0].unit, EARSHOT_LEVEL_NONE);
    assert_true(isnan(b->readings->reading[0].level));
    assert_false(b->readings->reading[0].heard);
    check_close(b->readings->reading[0].attenuator_db, 20.0, 0.0, "dB");
    assert_true(b->readings->reading[1].heard);
}

/* Each with the line and column of what is wrong, and a piece of the message. */
static void every_mistake_has_its_place(void **state)
{
    bench *b = *state;
    static const struct {
        const char *text;
        unsigned line, column;
        const char *message, *hint;
    } wrong[] = {
        {"", 0, 0, "the readings are empty", "the first line"},
        {"device,levle\n", 1, 8, "unknown column 'levle'", "'level'"},
        {"device,level,device\n", 1, 14, "a second column 'device'", ""},
        {"device,level,level_db\n", 1, 14, "a second column 'level'", ""},
        {"receiver,level\n", 1, 1, "no column says where", "device"},
        {"device,band\n", 1, 1, "no column says what was read", "level"},
        {"device,band,level\nhal,868,-71\n", 2, 1, "no device 'hal'", "'hall'"},
        {"device,band,level\nhall,868\n", 2, 6, "2 fields in this row, 3 in the header", "comma"},
        {"device,band,level\nhall,868,-71,5\n", 2, 14, "4 fields in this row, 3 in the header", "quotes"},
        {"device,band,level\nhall,868,\"-71\n", 2, 10, "not closed", ""},
        {"device,band,level\nhall,868,-7\"1\n", 2, 12, "middle of a field", ""},
        {"device,band,level\nhall,868,-71;3\n", 2, 10, "level '-71;3'", "decimal point"},
        {"device,band,level\nhall,868,\"-71,3\"\n", 2, 10, "level '-71,3'", "decimal point"},
        {"device,band,level\nhall,868,nan\n", 2, 10, "level 'nan'", ""},
        {"device,band,level\nhall,868,171\n", 2, 10, "level '171'", "no receiver"},
        {"device,band,level\nhall,868,101%\n", 2, 10, "level '101%'", "0 to 100"},
        {"device,band,level\nhall,868,\n", 2, 1, "neither a level nor", ""},
        {"device,band,level\nhall,915,-71\n", 2, 6, "a band that the plan does not have: '915'", ""},
        {"device,band,level\nhall,,-71\n", 2, 1, "which band is not said", ""},
        {"device,band,level,heard\nhall,868,,maybe\n", 2, 11, "heard 'maybe'", "yes or no"},
        {"device,band,level,heard\nhall,868,-71,no\n", 2, 14, "a level was read", ""},
        {"device,band,level,date\nhall,868,-71,14.03.2026\n", 2, 14, "date '14.03.2026'", "2026-03-14"},
        {"device,band,level,noise\nhall,868,-71,loud\n", 2, 14, "noise 'loud'", "dBm"},
        {"device,band,level,attenuator\nhall,868,-71,-3\n", 2, 14, "attenuator '-3'", "between 0"},
        {"device,receiver,band,level\nhall,pannel,868,-71\n", 2, 6, "no receiver 'pannel'", "'panel'"},
        {"device,x,y,z,storey,band,level\nhall,1,,,,868,-71\n", 2, 6, "a device and also '1'", ""},
        {"device,x,y,z,storey,band,level\n,1,2,,ground,868,-71\n", 2, 1, "where the transmitter stood", ""},
        {"device,x,y,z,storey,band,level\n,1,2,1,,868,-71\n", 2, 1, "which storey", ""},
        {"device,x,y,z,storey,band,level\n,1,2,1,cellar,868,-71\n", 2, 8, "no storey 'cellar'", ""},
        {"device,x,y,z,storey,band,level\n,1,2 ft 3,1,ground,868,-71\n", 2, 4, "y '2 ft 3'", "m, cm"},
    };
    for (size_t i = 0; i < sizeof wrong / sizeof wrong[0]; i++) {
        earshot_readings *readings;
        const earshot_status status =
            earshot_readings_read(wrong[i].text, strlen(wrong[i].text), "r.csv", b->plan, &readings, b->findings);
        const earshot_error *e = &b->findings->mistake[0];
        if (!strstr(e->message, wrong[i].message) || e->line != wrong[i].line || e->column != wrong[i].column)
            print_error("%s: got %u:%u %s\n", wrong[i].text, e->line, e->column, e->message);
        assert_int_equal(status, EARSHOT_READINGS);
        assert_null(readings);
        assert_int_equal(b->findings->n_mistakes, 1);
        assert_int_equal(e->line, wrong[i].line);
        assert_int_equal(e->column, wrong[i].column);
        assert_non_null(strstr(e->message, wrong[i].message));
        assert_non_null(strstr(e->hint, wrong[i].hint));
    }
}

static void all_bad_rows_are_named_at_once(void **state)
{
    bench *b = *state;
    static const char TEXT[] = "device,band,level\nhall,868,-71\nx,868,-71\nhall,868,loud\nhall,868,-70\n,868,-71\n";
    earshot_readings *readings;
    assert_int_equal(earshot_readings_read(TEXT, sizeof TEXT - 1, "r.csv", b->plan, &readings, b->findings),
                     EARSHOT_READINGS);
    assert_int_equal(b->findings->n_mistakes, 3);
    assert_int_equal(b->findings->mistake[0].line, 3);
    assert_int_equal(b->findings->mistake[1].line, 4);
    assert_int_equal(b->findings->mistake[2].line, 6);
}

static void there_is_a_limit(void **state)
{
    bench *b = *state;
    const size_t rows = EARSHOT_MAX_READINGS + 1, row = strlen("hall,868,-71\n");
    char *text = malloc(20 + rows * row);
    assert_non_null(text);
    size_t n = (size_t)sprintf(text, "device,band,level\n");
    for (size_t i = 0; i < rows; i++) n += (size_t)sprintf(text + n, "hall,868,-71\n");
    earshot_readings *readings;
    assert_int_equal(earshot_readings_read(text, n - row, "r.csv", b->plan, &readings, b->findings), EARSHOT_OK);
    assert_int_equal(readings->n, EARSHOT_MAX_READINGS);
    earshot_readings_free(readings);
    assert_int_equal(earshot_readings_read(text, n, "r.csv", b->plan, &readings, b->findings), EARSHOT_READINGS);
    assert_non_null(strstr(b->findings->mistake[0].message, "too many readings"));
    free(text);
}

static void a_missing_file_is_named(void **state)
{
    bench *b = *state;
    assert_int_equal(earshot_readings_read_file("no/such.csv", b->plan, &b->readings, b->findings), EARSHOT_FILE_READ);
    assert_non_null(strstr(b->findings->mistake[0].message, "no/such.csv"));
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test_setup_teardown(all_columns_are_read, set_up, tear_down),
        cmocka_unit_test_setup_teardown(a_level_has_one_of_three_units, set_up, tear_down),
        cmocka_unit_test_setup_teardown(a_row_may_only_say_heard, set_up, tear_down),
        cmocka_unit_test_setup_teardown(every_mistake_has_its_place, set_up, tear_down),
        cmocka_unit_test_setup_teardown(all_bad_rows_are_named_at_once, set_up, tear_down),
        cmocka_unit_test_setup_teardown(there_is_a_limit, set_up, tear_down),
        cmocka_unit_test_setup_teardown(a_missing_file_is_named, set_up, tear_down),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}

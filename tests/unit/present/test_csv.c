/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "support/check.h"

#include <stdlib.h>
#include <string.h>

#include "present/csv.h"
#include "present/sample.h"

static void quotes_what_must_be_quoted(void **state)
{
    (void)state;
    earshot_text text = {0};
    es_csv_text(&text, true, "plain text; with a semicolon");
    es_csv_text(&text, false, "a, b");
    es_csv_text(&text, false, "the \"big\" door");
    es_csv_text(&text, false, "two\nlines");
    es_csv_text(&text, false, NULL);
    es_csv_text(&text, false, "");
    es_csv_number(&text, -12.345678, 2);
    es_csv_number(&text, (double)NAN, 2);
    es_csv_number(&text, (double)INFINITY, 2);
    es_csv_number(&text, -0.0004, 3);
    es_csv_end(&text);
    assert_string_equal(text.data, "plain text; with a semicolon,\"a, b\",\"the \"\"big\"\" door\",\"two\nlines\",,,"
                                   "-12.35,,,0.000\r\n");
    earshot_text_clear(&text);
}

/* Fields of the record at *at, which is moved behind its CRLF: a reader of its own, by the grammar of RFC 4180. */
static size_t fields(const char **at)
{
    size_t n = 1;
    bool quoted = false;
    for (; quoted || strncmp(*at, "\r\n", 2) != 0; (*at)++) {
        assert_int_not_equal(**at, '\0');
        if (**at == '"')
            quoted = !quoted;
        else if (**at == ',' && !quoted)
            n++;
    }
    *at += 2;
    return n;
}

static void disarms_what_a_spreadsheet_would_run(void **state)
{
    (void)state;
    earshot_text text = {0};
    es_csv_text(&text, true, "=HYPERLINK(\"x\")");
    es_csv_text(&text, false, "+44 20 79");
    es_csv_text(&text, false, "@sum");
    es_csv_text(&text, false, "-2+3, twice");
    es_csv_text(&text, false, "-12_b");
    es_csv_text(&text, false, "a=b");
    assert_string_equal(text.data, "\"'=HYPERLINK(\"\"x\"\")\",'+44 20 79,'@sum,\"'-2+3, twice\",-12_b,a=b");
    earshot_text_clear(&text);
}

static void every_row_has_the_fields_of_the_heading(void **state)
{
    (void)state;
    sample s;
    earshot_text text = {0};
    sample_new(&s);
    earshot_csv_check(&s.check, 1, &text);
    const char *at = text.data;
    const size_t n = fields(&at);
    size_t rows = 0;
    for (; *at; rows++) assert_int_equal(fields(&at), n);
    assert_int_equal(rows, s.check.n_devices);
    earshot_text_clear(&text);
    sample_free(&s);
}

static void a_row_tells_the_link(void **state)
{
    (void)state;
    sample s;
    earshot_text text = {0};
    sample_new(&s);
    earshot_csv_check(&s.check, 1, &text);
    assert_non_null(strstr(text.data, "868.300,,direct,panel,shed,\"Shed, back\",contact,ground,9.000,1.500,1.200,"));
    assert_non_null(strstr(text.data, ",dense-block,"));
    assert_non_null(strstr(text.data, ",direct,\r\n"));
    earshot_text_clear(&text);
    sample_free(&s);
}

static void cells_run_from_the_top_left(void **state)
{
    (void)state;
    sample s;
    earshot_text text = {0};
    double margin[4] = {1.234, 2.345, 3.456, NAN}, dependable[4] = {-1.5, 0.25, 3.125, 4.0};
    sample_new(&s);
    const earshot_grid grid = {.x0_m = -0.5,
                               .y0_m = 2.0,
                               .cell_x_m = 0.25,
                               .cell_y_m = 0.5,
                               .rows = 2,
                               .columns = 2,
                               .z_m = 1.5,
                               .margin_db = margin,
                               .dependable_db = dependable};
    earshot_csv_grid(s.site, &grid, &text);
    assert_string_equal(text.data, "storey,x_m,y_m,z_m,margin_db,dependable_db\r\n"
                                   "ground,-0.375,2.750,1.500,1.23,-1.50\r\n"
                                   "ground,-0.125,2.750,1.500,2.35,0.25\r\n"
                                   "ground,-0.375,2.250,1.500,3.46,3.12\r\n"
                                   "ground,-0.125,2.250,1.500,,4.00\r\n");
    earshot_text_clear(&text);
    sample_free(&s);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(quotes_what_must_be_quoted),
        cmocka_unit_test(disarms_what_a_spreadsheet_would_run),
        cmocka_unit_test(every_row_has_the_fields_of_the_heading),
        cmocka_unit_test(a_row_tells_the_link),
        cmocka_unit_test(cells_run_from_the_top_left),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}

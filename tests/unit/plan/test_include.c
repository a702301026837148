/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Plans in several files. */
#define _POSIX_C_SOURCE 200809L
#include "support/check.h"

#include <stdio.h>
#include <sys/stat.h>
#include <unistd.h>

#include "base/number.h"
#include "support/plans.h"

static char folder[] = "/tmp/earshot-include-XXXXXX";
static earshot_findings *findings;
static earshot_plan *plan;

static const char *path_of(const char *name)
{
    static char path[200];
    es_format(path, sizeof path, "%s/%s", folder, name);
    return path;
}

static void put(const char *name, const char *text)
{
    FILE *file = fopen(path_of(name), "wb");
    assert_non_null(file);
    assert_int_equal(fwrite(text, 1, strlen(text), file), strlen(text));
    assert_int_equal(fclose(file), 0);
}

static earshot_status get(const char *name)
{
    return earshot_plan_read_file(path_of(name), &plan, findings);
}

/* The only mistake. */
static void mistake_is(earshot_status status, const char *file, unsigned line, unsigned column, const char *message)
{
    assert_null(plan);
    assert_int_equal(findings->n_mistakes, 1);
    const earshot_error *e = &findings->mistake[0];
    assert_string_equal(e->message, message);
    assert_int_equal(e->status, status);
    assert_string_equal(e->file, path_of(file));
    assert_int_equal(e->line, line);
    assert_int_equal(e->column, column);
}

static int start(void **state)
{
    (void)state;
    findings = calloc(1, sizeof *findings);
    if (!findings || !mkdtemp(folder)) return -1;
    return mkdir(path_of("sub"), 0700);
}

static int end(void **state)
{
    (void)state;
    static const char *const FILES[] = {
        "sub/b.plan", "sub/c.plan", "a.plan",     "b.plan",     "c.plan",     "pipe",       "deep0.plan", "deep1.plan",
        "deep2.plan", "deep3.plan", "deep4.plan", "deep5.plan", "deep6.plan", "deep7.plan", "deep8.plan", "deep9.plan"};
    for (size_t i = 0; i < sizeof FILES / sizeof FILES[0]; i++) unlink(path_of(FILES[i]));
    rmdir(path_of("sub"));
    free(findings);
    return rmdir(folder);
}

static void paths_are_relative_to_their_file(void **state)
{
    (void)state;
    put("a.plan", "plan 1\nuse \"sub/b.plan\"\nstorey g level=0m height=2.5m\nwall own 0,0 5,0\nwall other 0,0 0,5\n");
    put("sub/b.plan", "plan 1\nuse \"c.plan\"\nmaterial own layers=brick:10cm spread=1dB\n");
    put("sub/c.plan", "material other layers=brick:10cm spread=1dB\nstorey f level=3m height=2.5m\nwall own 9,0 9,9\n");
    assert_int_equal(get("a.plan"), EARSHOT_OK);
    assert_int_equal(plan->n_uses, 2);
    assert_string_equal(plan->use[0].path, "sub/b.plan");
    assert_int_equal(plan->n_files, 4);
    assert_string_equal(plan->file[3], path_of("sub/c.plan"));
    assert_int_equal(plan->n_walls, 3);
    assert_int_equal(plan->wall[2].storey, 1);
    assert_int_equal(plan->wall[2].place.file, 3);
    assert_int_equal(plan->wall[2].place.line, 3);
    earshot_plan_free(plan);
}

static void writing_keeps_uses_and_leaves_out_what_they_hold(void **state)
{
    (void)state;
    char *text;
    earshot_plan *again;
    assert_int_equal(get("a.plan"), EARSHOT_OK);
    assert_int_equal(earshot_plan_write(plan, &text), EARSHOT_OK);
    assert_string_equal(text, "plan 1\nuse \"sub/b.plan\"\n\nstorey g level=0m height=2.5m\n"
                              "wall own 0,0 5,0\nwall other 0,0 0,5\n");
    assert_int_equal(earshot_plan_read(text, strlen(text), path_of("a.plan"), &again, findings), EARSHOT_OK);
    assert_true(earshot_plan_equal(plan, again));
    earshot_plan_free(again);
    earshot_text_free(text);
    earshot_plan_free(plan);
}

static void a_file_used_twice_is_read_once(void **state)
{
    (void)state;
    put("a.plan", "plan 1\nuse \"b.plan\"\nuse \"./c.plan\"\n");
    put("b.plan", "use \"c.plan\"\n");
    put("c.plan", "material own layers=brick:10cm\n");
    assert_int_equal(get("a.plan"), EARSHOT_OK);
    assert_int_equal(plan->n_files, 4);
    earshot_plan_free(plan);
}

static void circles_are_refused(void **state)
{
    (void)state;
    put("a.plan", "plan 1\nuse \"b.plan\"\n");
    put("b.plan", "\n\nuse \"sub/../a.plan\"\n");
    assert_int_equal(get("a.plan"), EARSHOT_PLAN_INVALID);
    assert_int_equal(findings->n_mistakes, 1);
    assert_non_null(strstr(findings->mistake[0].message, "uses itself"));
    assert_int_equal(findings->mistake[0].line, 3);
    assert_int_equal(findings->mistake[0].column, 5);
    put("a.plan", "plan 1\nuse \"a.plan\"\n");
    assert_int_equal(get("a.plan"), EARSHOT_PLAN_INVALID);
    assert_int_equal(findings->n_mistakes, 1);
}

static void nine_deep_is_too_deep(void **state)
{
    (void)state;
    for (int i = 0; i < 9; i++) {
        char name[20], text[40];
        es_format(name, sizeof name, "deep%d.plan", i);
        es_format(text, sizeof text, "plan 1\nuse \"deep%d.plan\"\n", i + 1);
        put(name, text);
    }
    put("deep9.plan", "plan 1\n");
    assert_int_equal(get("deep0.plan"), EARSHOT_PLAN_LIMIT);
    mistake_is(EARSHOT_PLAN_LIMIT, "deep8.plan", 2, 5, "files use files too deep");
    assert_non_null(strstr(findings->mistake[0].hint, "8"));
    assert_int_equal(get("deep1.plan"), EARSHOT_OK);
    assert_int_equal(plan->n_files, 10);
    earshot_plan_free(plan);
}

static void mistakes_name_their_file(void **state)
{
    (void)state;
    put("a.plan", "plan 1\nuse \"b.plan\"\n");
    put("b.plan", "wal stud 0,0 1,1\n");
    assert_int_equal(get("a.plan"), EARSHOT_PLAN_SYNTAX);
    mistake_is(EARSHOT_PLAN_SYNTAX, "b.plan", 1, 1, "unknown statement 'wal'");
    assert_string_equal(findings->mistake[0].excerpt, "wal stud 0,0 1,1");
    put("b.plan", "band 433MHz\n");
    assert_int_equal(get("a.plan"), EARSHOT_PLAN_INVALID);
    mistake_is(EARSHOT_PLAN_INVALID, "b.plan", 1, 1, "band stands in a file that the plan uses");
    put("b.plan", "wall stud 0,0 1,1\n");
    put("a.plan", "plan 1\nstorey g level=0m height=2m\nuse \"b.plan\"\n");
    assert_int_equal(get("a.plan"), EARSHOT_PLAN_INVALID);
    mistake_is(EARSHOT_PLAN_INVALID, "b.plan", 1, 1, "wall before any storey");
}

static void names_of_two_files_clash(void **state)
{
    (void)state;
    put("a.plan", "plan 1\nuse \"b.plan\"\n\nmaterial own layers=brick:10cm\n");
    put("b.plan", "material own layers=brick:20cm\n");
    char expected[300];
    es_format(expected, sizeof expected, "a second material named 'own'; the first stands in line 4 of %s",
              path_of("a.plan"));
    assert_int_equal(get("a.plan"), EARSHOT_PLAN_INVALID);
    mistake_is(EARSHOT_PLAN_INVALID, "b.plan", 1, 10, expected);
}

static void what_cannot_be_read_is_said_where_it_is_used(void **state)
{
    (void)state;
    put("a.plan", "plan 1\nuse \"sub\"\n");
    assert_int_equal(get("a.plan"), EARSHOT_FILE_READ);
    assert_int_equal(findings->mistake[0].line, 2);
    assert_non_null(strstr(findings->mistake[0].message, "not an ordinary file"));
    assert_int_equal(mkfifo(path_of("pipe"), 0600), 0);
    put("a.plan", "plan 1\nuse \"pipe\"\n"); /* must not wait for a writer */
    assert_int_equal(get("a.plan"), EARSHOT_FILE_READ);
    put("a.plan", "plan 1\nuse \"/dev/zero\"\n");
    assert_int_equal(get("a.plan"), EARSHOT_FILE_READ);
    /* What it may have defined is not called unknown. */
    put("a.plan", "plan 1\nuse \"nowhere.plan\"\nstorey g level=0m height=2m\nwall own 0,0 5,0\n");
    assert_int_equal(get("a.plan"), EARSHOT_FILE_READ);
    assert_int_equal(findings->n_mistakes, 1);
}

static void a_plan_that_is_not_there(void **state)
{
    (void)state;
    assert_int_equal(get("nowhere.plan"), EARSHOT_FILE_READ);
    assert_int_equal(findings->n_mistakes, 1);
    assert_non_null(strstr(findings->mistake[0].message, "No such file"));
    assert_int_equal(get("sub"), EARSHOT_FILE_READ);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(paths_are_relative_to_their_file),
        cmocka_unit_test(writing_keeps_uses_and_leaves_out_what_they_hold),
        cmocka_unit_test(a_file_used_twice_is_read_once),
        cmocka_unit_test(circles_are_refused),
        cmocka_unit_test(nine_deep_is_too_deep),
        cmocka_unit_test(mistakes_name_their_file),
        cmocka_unit_test(names_of_two_files_clash),
        cmocka_unit_test(what_cannot_be_read_is_said_where_it_is_used),
        cmocka_unit_test(a_plan_that_is_not_there),
    };
    return cmocka_run_group_tests(tests, start, end);
}

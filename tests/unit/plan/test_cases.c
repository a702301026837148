/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Runs the cases of cases/mistakes.cases and cases/warnings.cases: plans, and exactly what is said about each. */
#include "support/check.h"

#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "base/text.h"
#include "earshot/earshot.h"

enum { MAX_LINES = 3000 };

/* A file of cases, cut into lines. */
typedef struct case_file {
    char *text;
    char *line[MAX_LINES + 3]; /* the last ones are empty, so that looking ahead is safe */
    size_t n;
} case_file;

typedef struct expected {
    unsigned line, column, width; /* 0: no place */
    const char *message, *hint;
} expected;

typedef struct one_case {
    const char *name;
    earshot_text plan;
    unsigned n_lines;
    expected expected[EARSHOT_MAX_FINDINGS];
    size_t n_expected;
} one_case;

static char *read_text(const char *path)
{
    FILE *file = fopen(path, "rb");
    assert_non_null(file);
    earshot_text text = {0};
    char buffer[4096];
    for (size_t n; (n = fread(buffer, 1, sizeof buffer, file)) > 0;) es_text_add_bytes(&text, buffer, n);
    fclose(file);
    assert_false(text.failed);
    return text.data;
}

static void open_cases(case_file *file, const char *path)
{
    *file = (case_file){.text = read_text(path)};
    for (char *at = file->text; at && *at;) {
        assert_true(file->n < MAX_LINES);
        file->line[file->n++] = at;
        char *end = strchr(at, '\n');
        if (end) *end = '\0';
        at = end ? end + 1 : NULL;
    }
    for (size_t i = 0; i < 3; i++) file->line[file->n + i] = file->text + strlen(file->text);
}

static bool starts_case(const char *line)
{
    return strncmp(line, "== ", 3) == 0;
}

static bool is_mark(const char *line)
{
    const size_t blanks = strspn(line, " "), carets = strspn(line + blanks, "^");
    return strcmp(line, "!") == 0 || (carets && line[blanks + carets] == '\0');
}

/* A mark, and the two lines below it. */
static void add_expected(one_case *c, char *const *line)
{
    assert_true(c->n_expected < EARSHOT_MAX_FINDINGS);
    expected *e = &c->expected[c->n_expected++];
    *e = (expected){.message = line[1], .hint = line[2]};
    if (line[0][0] == '!') return;
    e->line = c->n_lines;
    e->column = (unsigned)strspn(line[0], " ") + 1;
    e->width = (unsigned)strlen(line[0]) - e->column + 1;
}

static void add_line(one_case *c, const char *line)
{
    es_text_format(&c->plan, "%s\n", line);
    c->n_lines++;
}

/* Reads the case that starts at line i; returns where the next one starts. */
static size_t read_case(const case_file *file, size_t i, const one_case *base, one_case *c)
{
    *c = (one_case){.name = file->line[i++] + 3};
    while (i < file->n && !starts_case(file->line[i])) {
        if (strcmp(file->line[i], "@base") == 0) {
            es_text_add(&c->plan, base->plan.data);
            c->n_lines += base->n_lines;
        } else if (is_mark(file->line[i])) {
            add_expected(c, &file->line[i]);
            i += 2;
        } else if (file->line[i][0]) { /* empty lines only separate */
            add_line(c, file->line[i]);
        }
        i++;
    }
    return i;
}

static bool same(const expected *e, const earshot_error *got)
{
    return e->line == got->line && e->column == got->column && e->width == got->width &&
           strcmp(e->message, got->message) == 0 && strcmp(e->hint, got->hint) == 0;
}

static void show(const char *what, unsigned line, unsigned column, unsigned width, const char *message,
                 const char *hint)
{
    print_error("  %s %u:%u+%u %s\n           (%s)\n", what, line, column, width, message, hint);
}

/* Whether the findings are those expected; prints what differs. */
static bool compare(const one_case *c, const earshot_error *got, size_t n)
{
    bool fine = n == c->n_expected;
    for (size_t i = 0; i < n && i < c->n_expected; i++) fine = fine && same(&c->expected[i], &got[i]);
    if (fine) return true;
    print_error("case '%s':\n", c->name);
    for (size_t i = 0; i < c->n_expected; i++) {
        const expected *e = &c->expected[i];
        show("expected", e->line, e->column, e->width, e->message, e->hint);
    }
    for (size_t i = 0; i < n; i++) {
        show("found   ", got[i].line, got[i].column, got[i].width, got[i].message, got[i].hint);
    }
    return false;
}

/* The excerpt holds the line, the caret points to the column in it. */
static bool excerpt_fits(const one_case *c, const earshot_error *got)
{
    if (!got->line) return got->excerpt[0] == '\0' && got->caret == 0;
    const char *line = c->plan.data ? c->plan.data : "";
    for (unsigned i = 1; i < got->line && line; i++) line = strchr(line, '\n') + 1;
    const size_t n = strlen(got->excerpt);
    return got->caret == got->column && strncmp(line, got->excerpt, n) == 0 && line[n] == '\n';
}

static bool run_case(const one_case *c, bool mistakes, earshot_findings *findings)
{
    earshot_plan *plan;
    const char *text = c->plan.data ? c->plan.data : "";
    const earshot_status status = earshot_plan_read(text, strlen(text), "case.plan", &plan, findings);
    const earshot_error *got = mistakes ? findings->mistake : findings->warning;
    const size_t n = mistakes ? findings->n_mistakes : findings->n_warnings;
    bool fine = compare(c, got, n);
    for (size_t i = 0; i < n; i++) fine = fine && excerpt_fits(c, &got[i]);
    fine = fine && (mistakes ? status == findings->mistake[0].status && !plan : status == EARSHOT_OK && plan);
    earshot_plan_free(plan);
    return fine;
}

static void run_file(const char *path, bool mistakes, size_t least)
{
    case_file *file = calloc(1, sizeof *file);
    earshot_findings *findings = calloc(1, sizeof *findings);
    one_case base = {0}, c;
    size_t i = 0, n = 0, wrong = 0;
    assert_non_null(file);
    assert_non_null(findings);
    open_cases(file, path);
    while (!starts_case(file->line[i])) i++;
    i = read_case(file, i, NULL, &base);
    for (; i < file->n; n++) {
        i = read_case(file, i, &base, &c);
        if (!run_case(&c, mistakes, findings)) wrong++;
        earshot_text_clear(&c.plan);
    }
    earshot_text_clear(&base.plan);
    free(findings);
    free(file->text);
    free(file);
    print_message("%zu cases, %zu wrong\n", n, wrong);
    assert_int_equal(wrong, 0);
    assert_true(n >= least);
}

static void mistakes(void **state)
{
    (void)state;
    run_file(EARSHOT_SOURCE_DIR "/tests/unit/plan/cases/mistakes.cases", true, 100);
}

static void warnings(void **state)
{
    (void)state;
    run_file(EARSHOT_SOURCE_DIR "/tests/unit/plan/cases/warnings.cases", false, 30);
}

int main(void)
{
    const struct CMUnitTest tests[] = {cmocka_unit_test(mistakes), cmocka_unit_test(warnings)};
    return cmocka_run_group_tests(tests, NULL, NULL);
}

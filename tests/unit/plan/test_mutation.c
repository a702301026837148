/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Plans with bytes changed, moved, doubled and cut out at random: whatever comes of it, reading says so and ends. */
#include "support/check.h"

#include "base/text.h"
#include "support/plans.h"
#include "support/random_plan.h"

enum { MUTATIONS = 20000 };

/* What a slip of hand might put somewhere. */
static const char *const PIECES[] = {
    "\"",  "=",   ",", ":",  "#",    " ",    "\n",           "\r",    "\t",      "\\",          "-",   "1e999",
    "nan", "0,0", "m", "dB", "\xFF", "\xC3", "\xE2\x80\x93", "wall ", "storey ", "use \"x\"\n", "at=", "9999999"};
enum { N_PIECES = sizeof PIECES / sizeof PIECES[0] };

static void insert(earshot_text *text, size_t at, const char *bytes, size_t n)
{
    char *copy = malloc(n + 1);
    assert_non_null(copy);
    memcpy(copy, bytes, n);
    es_text_add_bytes(text, copy, n);
    memmove(text->data + at + n, text->data + at, text->size - n - at);
    memcpy(text->data + at, copy, n);
    free(copy);
}

static void cut(earshot_text *text, size_t at, size_t n)
{
    memmove(text->data + at, text->data + at + n, text->size - at - n);
    text->size -= n;
}

/* Another digit for one: what is still a plan is looked at by every check. */
static void change_digit(earshot_text *text, uint64_t *seed)
{
    size_t at = random_below(seed, text->size);
    while (at < text->size && (text->data[at] < '0' || text->data[at] > '9')) at++;
    if (at < text->size) text->data[at] = (char)('0' + random_below(seed, 10));
}

static void mutate(earshot_text *text, uint64_t *seed)
{
    const size_t at = random_below(seed, text->size);
    size_t n = random_below(seed, 30) + 1;
    if (n > text->size - at) n = text->size - at;
    switch (random_below(seed, 8)) {
    case 0: text->data[at] = (char)random_below(seed, 256); break;
    case 1: cut(text, at, n < text->size ? n : 1); break;
    case 2: insert(text, random_below(seed, text->size), text->data + at, n); break;
    case 3:
    case 4: {
        const char *piece = PIECES[random_below(seed, N_PIECES)];
        insert(text, at, piece, strlen(piece));
        break;
    }
    default: change_digit(text, seed);
    }
}

static void check_error(const earshot_error *e)
{
    assert_true(strlen(e->message) > 0);
    assert_true(e->caret <= strlen(e->excerpt) + 1);
    assert_true(e->line == 0 || (e->column > 0 && e->width > 0));
}

static void read_mutant(const earshot_text *text, earshot_findings *findings, size_t *n_right)
{
    earshot_plan *plan;
    const earshot_status status = earshot_plan_read(text->data, text->size, "mutant.plan", &plan, findings);
    assert_true((status == EARSHOT_OK) == (plan != NULL));
    assert_true((status == EARSHOT_OK) == (findings->n_mistakes == 0));
    for (size_t i = 0; i < findings->n_mistakes && i < EARSHOT_MAX_FINDINGS; i++) check_error(&findings->mistake[i]);
    for (size_t i = 0; i < findings->n_warnings && i < EARSHOT_MAX_FINDINGS; i++) check_error(&findings->warning[i]);
    if (plan) ++*n_right;
    earshot_plan_free(plan);
}

static void mutants_are_read_to_an_end(void **state)
{
    (void)state;
    earshot_findings *findings = calloc(1, sizeof *findings);
    uint64_t seed = 8683;
    size_t n_right = 0;
    random_plan p = {0};
    for (int i = 0; i < MUTATIONS; i++) {
        if (i % 4 == 0) {
            earshot_text_clear(&p.text);
            make_random_plan(&p, (uint64_t)i / 100 + 1);
        }
        mutate(&p.text, &seed);
        if (p.text.size) read_mutant(&p.text, findings, &n_right);
    }
    earshot_text_clear(&p.text);
    free(findings);
    print_message("%zu of %d were still plans\n", n_right, MUTATIONS);
    assert_true(n_right > 0 && n_right < MUTATIONS);
}

int main(void)
{
    const struct CMUnitTest tests[] = {cmocka_unit_test(mutants_are_read_to_an_end)};
    return cmocka_run_group_tests(tests, NULL, NULL);
}

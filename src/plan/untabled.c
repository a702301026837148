/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "plan/untabled.h"

#include <string.h>

#include "plan/fields.h"

static const es_token *keyword(const es_reader *reader)
{
    return &reader->tokens.token[0];
}

static void hint_form(earshot_error *e, const char *name)
{
    es_hint(e, "write: %s", es_statement_find(name, strlen(name))->form);
}

void es_read_plan(es_reader *reader)
{
    char shown[ES_SHOWN];
    reader->version_seen = true;
    if (reader->n_statements > 1) {
        es_hint(es_syntax(reader, es_token_place(reader, keyword(reader)), "'plan' stands below other statements"),
                "it belongs above everything else, once");
        return;
    }
    if (reader->tokens.n != 2 || reader->tokens.token[1].key) {
        const bool more = reader->tokens.n > 1;
        const earshot_place place =
            more ? es_token_place(reader, &reader->tokens.token[reader->tokens.n - 1]) : es_end_place(reader);
        hint_form(es_syntax(reader, place, more ? "plan has one field, the version" : "plan needs its version"),
                  "plan");
        return;
    }
    const es_token *version = &reader->tokens.token[1];
    if (version->n_value == 1 && version->value[0] == '1') return;
    es_hint(es_syntax(reader, es_token_place(reader, version), "version '%s' of the plan language is not known",
                      es_show(shown, version->value, version->n_value)),
            "this program reads version 1: plan 1");
    reader->give_up = true;
}

static const es_field FREQUENCY = {
    .key = "band", .type = ES_FIELD_QUANTITY, .dimension = ES_FREQUENCY, .low = 100e6, .high = 6e9};

static void add_band(es_reader *reader, const es_token *token)
{
    earshot_plan *plan = reader->plan;
    double hz;
    if (!es_read_quantity(reader, &FREQUENCY, token, token->value, token->n_value, &hz)) return;
    for (size_t i = 0; i < plan->n_bands; i++) {
        if (plan->band_hz[i] != hz) continue;
        es_hint(es_invalid(reader, es_token_place(reader, token), "the same band twice"), "leave one out");
        return;
    }
    if (plan->n_bands == EARSHOT_MAX_BANDS) {
        es_hint(es_mistake(&reader->report, EARSHOT_PLAN_LIMIT, es_token_place(reader, token), "more than %d bands",
                           EARSHOT_MAX_BANDS),
                "a plan has at most %d of them", EARSHOT_MAX_BANDS);
        return;
    }
    plan->band_hz[plan->n_bands++] = hz;
}

void es_read_band(es_reader *reader)
{
    reader->plan->band_stated = true;
    if (reader->tokens.n < 2) hint_form(es_syntax(reader, es_end_place(reader), "band needs a frequency"), "band");
    for (size_t i = 1; i < reader->tokens.n; i++) {
        const es_token *token = &reader->tokens.token[i];
        if (!token->key) {
            add_band(reader, token);
            continue;
        }
        hint_form(es_syntax(reader, es_token_place(reader, token), "band has no keys"), "band");
    }
}

static bool find_kind(const char *word, size_t n, unsigned *kind)
{
    for (const es_choice *c = es_kind_words; c->word; c++) {
        if (strlen(c->word) != n || memcmp(c->word, word, n) != 0) continue;
        *kind = c->value;
        return true;
    }
    return false;
}

/* The key is a list of kinds; its column is that of the token. */
static earshot_place kind_place(const es_reader *reader, const es_token *token, const char *word, size_t n)
{
    earshot_place place = es_token_place(reader, token);
    place.column += (unsigned)(word - token->key);
    place.width = n ? (unsigned)n : 1;
    return place;
}

static bool unknown_kind(es_reader *reader, const es_token *token, const char *word, size_t n)
{
    char shown[ES_SHOWN];
    earshot_error *e =
        es_syntax(reader, kind_place(reader, token, word, n), "unknown kind of device '%s'", es_show(shown, word, n));
    if (!e) return false;
    es_nearest nearest = es_nearest_to(word, n);
    for (const es_choice *c = es_kind_words; c->word; c++) es_nearest_offer(&nearest, c->word);
    if (nearest.best)
        es_hint(e, "did you mean '%s'?", nearest.best);
    else
        hint_form(e, "capacity");
    return false;
}

static bool read_kinds(es_reader *reader, const es_token *token, unsigned *kinds)
{
    es_pieces pieces = es_pieces_of(token->key, token->n_key);
    const char *word;
    size_t n;
    while (es_next_piece(&pieces, &word, &n)) {
        unsigned kind;
        if (!find_kind(word, n, &kind)) return unknown_kind(reader, token, word, n);
        if (*kinds & 1u << kind) {
            es_hint(es_invalid(reader, kind_place(reader, token, word, n), "the kind '%s' stands here twice",
                               es_kind_words[kind].word),
                    "leave one out");
            return false;
        }
        *kinds |= 1u << kind;
    }
    return true;
}

static void read_entry(es_reader *reader, const es_token *token, const char *radio)
{
    static const es_field COUNT = {.key = "a capacity", .type = ES_FIELD_COUNT, .low = 0, .high = 1e6};
    earshot_capacity entry = {.place = es_token_place(reader, keyword(reader)), .radio = radio};
    const bool read = read_kinds(reader, token, &entry.kinds);
    if (!es_field_read(reader, &COUNT, token, &entry.count) || !read) {
        reader->broken |= 1u << ES_LIST_CAPACITY;
        return;
    }
    es_list_add(reader, ES_LIST_CAPACITY, &entry);
}

void es_read_capacity(es_reader *reader)
{
    const es_tokens *tokens = &reader->tokens;
    if (tokens->n < 3 || tokens->token[1].key) {
        hint_form(es_syntax(reader, es_end_place(reader), "capacity needs a radio and KIND=N"), "capacity");
        return;
    }
    const es_token *first = &tokens->token[1];
    const char *radio;
    if (!es_read_name(reader, first, first->value, first->n_value, &radio)) return;
    for (size_t i = 2; i < tokens->n; i++) {
        const es_token *token = &tokens->token[i];
        if (token->key) {
            read_entry(reader, token, radio);
            continue;
        }
        hint_form(es_syntax(reader, es_token_place(reader, token), "capacity is written KIND=N"), "capacity");
    }
}

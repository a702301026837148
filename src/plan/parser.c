/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Lines to statements: the keyword, then each field by the table of its statement. */
#include <assert.h>
#include <string.h>

#include "base/text.h"
#include "base/utf8.h"
#include "plan/fields.h"

static_assert(sizeof(earshot_kind) == sizeof(unsigned), "an enum is read and written as unsigned");

/* Room for an item of any list. */
typedef union any_item {
    earshot_electrical electrical;
    earshot_material material;
    earshot_radio radio;
    earshot_storey storey;
    earshot_wall wall;
    earshot_opening opening;
    earshot_slab slab;
    earshot_hole hole;
    earshot_block block;
    earshot_receiver receiver;
    earshot_mount mount;
    earshot_device device;
    earshot_scene scene;
    earshot_use use;
    earshot_avoid avoid;
} any_item;

/* One statement being read. */
typedef struct parse {
    const es_statement *statement;
    void *item;
    const es_token *given[ES_MAX_STATEMENTS]; /* the first token of each field; NULL: not given */
    size_t next_positional;                   /* field that the next positional token goes to */
    bool bad;
} parse;

static earshot_place place_at(const es_reader *reader, size_t column, size_t width)
{
    return (earshot_place){reader->file, reader->line, (unsigned)column, (unsigned)(width ? width : 1)};
}

earshot_place es_token_place(const es_reader *reader, const es_token *token)
{
    return place_at(reader, token->column, token->width);
}

earshot_place es_value_place(const es_reader *reader, const es_token *token, const char *from, size_t n)
{
    const size_t ahead = es_utf8_count(token->value, (size_t)(from - token->value));
    return place_at(reader, token->value_column + ahead, es_utf8_count(from, n));
}

earshot_place es_end_place(const es_reader *reader)
{
    return place_at(reader, reader->tokens.end_column, 1);
}

const char *es_keep(es_reader *reader, const char *text, size_t n)
{
    const char *kept = es_arena_string(reader->arena, text, n);
    if (!kept) reader->memory_out = true;
    return kept;
}

static void hint_form(earshot_error *e, const es_statement *statement)
{
    es_hint(e, "write: %s", statement->form);
}

static void unknown_key(es_reader *reader, const es_statement *statement, const es_token *token)
{
    char shown[ES_SHOWN];
    earshot_place place = es_token_place(reader, token);
    place.width = (unsigned)es_utf8_count(token->key, token->n_key);
    earshot_error *e =
        es_syntax(reader, place, "%s has no '%s='", statement->keyword, es_show(shown, token->key, token->n_key));
    if (!e) return;
    es_nearest nearest = es_nearest_to(token->key, token->n_key);
    earshot_text keys = {0};
    for (size_t i = 0; i < statement->n_fields; i++) {
        const es_field *field = &statement->field[i];
        if (field->positional) continue;
        es_nearest_offer(&nearest, field->key);
        es_text_format(&keys, "%s%s=", keys.size ? ", " : "", field->key);
    }
    if (nearest.best)
        es_hint(e, "did you mean '%s='?", nearest.best);
    else if (keys.data && !keys.failed)
        es_hint(e, "its keys are: %s", keys.data);
    else
        hint_form(e, statement);
    earshot_text_clear(&keys);
}

static bool is_unit(const es_token *token)
{
    static const char *const UNITS[] = {"m",   "cm",  "mm",  "ft", "in", "dB", "dBm", "dBi",
                                        "MHz", "kHz", "GHz", "Hz", "%",  "s",  "ms",  "mA"};
    for (size_t i = 0; i < sizeof UNITS / sizeof UNITS[0]; i++) {
        if (strlen(UNITS[i]) == token->n_value && memcmp(UNITS[i], token->value, token->n_value) == 0) return true;
    }
    return false;
}

static void unexpected(es_reader *reader, const es_statement *statement, const es_token *token)
{
    char shown[ES_SHOWN];
    earshot_error *e = es_syntax(reader, es_token_place(reader, token), "unexpected '%s'",
                                 es_show(shown, token->value, token->n_value));
    if (is_unit(token))
        es_hint(e, "a unit stands right behind its number, without a space");
    else
        hint_form(e, statement);
}

static void given_twice(es_reader *reader, const es_field *field, const es_token *token)
{
    es_hint(es_syntax(reader, es_token_place(reader, token), "%s is given twice", field->key), "leave one out");
}

static void read_field(es_reader *reader, parse *p, const es_field *field, const es_token *token)
{
    const es_token **given = &p->given[field - p->statement->field];
    if (*given && field->type != ES_FIELD_POINTS) {
        given_twice(reader, field, token);
        p->bad = true;
        return;
    }
    if (!*given) *given = token;
    if (!es_field_read(reader, field, token, p->item)) p->bad = true;
}

static const es_field *next_positional(parse *p)
{
    const es_statement *s = p->statement;
    while (p->next_positional < s->n_fields && !s->field[p->next_positional].positional) p->next_positional++;
    return p->next_positional < s->n_fields ? &s->field[p->next_positional] : NULL;
}

static const es_field *label_field(const es_statement *statement)
{
    const es_field *label = es_field_find(statement, "label", 5);
    return label && label->type == ES_FIELD_LABEL ? label : NULL;
}

static void quoted_name(es_reader *reader, const es_token *token)
{
    char shown[ES_SHOWN];
    es_hint(es_syntax(reader, es_token_place(reader, token), "a name is expected, not the text \"%s\"",
                      es_show(shown, token->value, token->n_value)),
            "a name is a word of letters, digits, '-' and '_'; a label in quotation marks may follow it");
}

static void read_positional(es_reader *reader, parse *p, const es_token *token)
{
    const es_field *field = next_positional(p);
    const es_field *label = label_field(p->statement);
    const bool own = field && (field->type == ES_FIELD_TEXT || field->type == ES_FIELD_NAME);
    if (token->quoted && label && !own) {
        read_field(reader, p, label, token);
        return;
    }
    if (!field) {
        unexpected(reader, p->statement, token);
        p->bad = true;
        return;
    }
    if (token->quoted && field->type == ES_FIELD_NAME) {
        quoted_name(reader, token);
        p->bad = true;
    } else {
        read_field(reader, p, field, token);
    }
    if (field->type != ES_FIELD_POINTS) p->next_positional++;
}

static void read_token(es_reader *reader, parse *p, const es_token *token)
{
    if (!token->key) {
        read_positional(reader, p, token);
        return;
    }
    const es_field *field = es_field_find(p->statement, token->key, token->n_key);
    if (field) {
        read_field(reader, p, field, token);
        return;
    }
    unknown_key(reader, p->statement, token);
    p->bad = true;
}

static void missing_field(es_reader *reader, const parse *p, const es_field *field)
{
    earshot_error *e = es_syntax(reader, es_end_place(reader), "%s needs %s%s", p->statement->keyword, field->key,
                                 field->positional ? "" : "=");
    hint_form(e, p->statement);
}

/* A statement with something wrong in it may lack a field only because of that: then nothing is said. */
static void end_fields(es_reader *reader, parse *p)
{
    for (size_t i = 0; i < p->statement->n_fields && !p->bad; i++) {
        const es_field *field = &p->statement->field[i];
        if (field->required && !p->given[i]) {
            missing_field(reader, p, field);
            p->bad = true;
        } else if (field->type == ES_FIELD_POINTS && !es_points_end(reader, field, p->item)) {
            p->bad = true;
        }
    }
}

static void read_fields(es_reader *reader, parse *p)
{
    reader->n_points = 0;
    for (size_t i = 1; i < reader->tokens.n; i++) read_token(reader, p, &reader->tokens.token[i]);
    end_fields(reader, p);
}

/* Whether the statement has a storey to belong to. Said once a file: all that follows would say it again. */
static bool enter_storey(es_reader *reader, const es_statement *statement, void *item)
{
    if (!statement->in_storey) return true;
    if (reader->storey >= 0) {
        *(unsigned *)((char *)item + statement->storey_at) = (unsigned)reader->storey;
        return true;
    }
    if (reader->storey_missed) return false;
    reader->storey_missed = true;
    es_hint(es_invalid(reader, es_token_place(reader, &reader->tokens.token[0]), "%s before any storey",
                       statement->keyword),
            "a line such as 'storey ground level=0m height=2.5m' must stand above it in the same file");
    return false;
}

/* What follows a storey belongs to it, even if there is something wrong with it. */
static void enter_new_storey(es_reader *reader, earshot_storey *storey, bool bad)
{
    if (bad) {
        storey->level_m = 0;
        storey->height_m = 2.5;
    }
    if (es_list_add(reader, ES_LIST_STOREY, storey)) reader->storey = (long)reader->list[ES_LIST_STOREY].n - 1;
}

static void finish_item(es_reader *reader, const es_statement *s, any_item *item, bool bad)
{
    const bool named = !s->space || es_declare(reader, s, item, bad);
    if (bad || !named) reader->broken |= 1u << s->list;
    if (s->list == ES_LIST_STOREY) {
        enter_new_storey(reader, &item->storey, bad);
        return;
    }
    if (bad || !named) return;
    if (s->list == ES_LIST_WALL) reader->n_pieces += item->wall.n_points - 1;
    if (!es_list_add(reader, s->list, item)) reader->broken |= 1u << s->list;
}

static void read_item(es_reader *reader, const es_statement *s)
{
    any_item item;
    memcpy(&item, s->fresh, es_lists[s->list].size);
    *(earshot_place *)(void *)&item = es_token_place(reader, &reader->tokens.token[0]);
    parse p = {.statement = s, .item = &item, .bad = !enter_storey(reader, s, &item)};
    read_fields(reader, &p);
    finish_item(reader, s, &item, p.bad);
}

/* A statement about the plan itself: once, and in the plan's own file. */
static bool enter_once(es_reader *reader, const es_statement *s)
{
    earshot_place *before = &reader->once[s - es_statements];
    const earshot_place here = es_token_place(reader, &reader->tokens.token[0]);
    if (reader->file != ES_FILE_PLAN) {
        es_hint(es_invalid(reader, here, "%s stands in a file that the plan uses", s->keyword),
                "it belongs in the plan itself");
        return false;
    }
    if (before->line) {
        es_hint(es_invalid(reader, here, "a second '%s'; the first stands in line %u", s->keyword, before->line),
                "leave one out");
        return false;
    }
    *before = here;
    return true;
}

static void read_statement(es_reader *reader, const es_statement *s)
{
    if (s->once && !enter_once(reader, s)) return;
    if (s->read) {
        s->read(reader);
    } else if (s->list == ES_LIST_NONE) {
        parse p = {.statement = s, .item = reader->plan};
        read_fields(reader, &p);
    } else {
        read_item(reader, s);
    }
}

static void hint_keyword(earshot_error *e, const es_token *token)
{
    es_nearest nearest = es_nearest_to(token->value, token->n_value);
    for (size_t i = 0; i < es_n_statements; i++) es_nearest_offer(&nearest, es_statements[i].keyword);
    if (nearest.best && !token->key)
        es_hint(e, "did you mean '%s'?", nearest.best);
    else
        es_hint(e, "such words are wall, door, device; docs/plan-language.md lists them");
}

static void unknown_keyword(es_reader *reader, const es_token *token)
{
    char shown[ES_SHOWN];
    const earshot_place place = es_token_place(reader, token);
    if (token->key) {
        es_show(shown, token->key, token->n_key);
        hint_keyword(es_syntax(reader, place, "a line begins with the word of a statement, not with '%s='", shown),
                     token);
    } else {
        es_show(shown, token->value, token->n_value);
        hint_keyword(es_syntax(reader, place, "unknown statement '%s'", shown), token);
    }
}

/* It may have been any statement. */
static void lose_line(es_reader *reader)
{
    reader->broken = ~0u;
    reader->storey_missed = true;
    es_declare_lost(reader);
}

static void read_line(es_reader *reader, const char *line, size_t n)
{
    es_lex_fault fault;
    const es_lex_outcome outcome = es_lex(line, n, &reader->tokens, &fault);
    if (outcome == ES_LEX_MEMORY) {
        reader->memory_out = true;
        return;
    }
    if (outcome == ES_LEX_FAULT) {
        es_hint(es_syntax(reader, place_at(reader, fault.column, fault.width), "%s", fault.message), "%s", fault.hint);
        if (fault.hopeless) reader->give_up = true;
        lose_line(reader);
        return;
    }
    if (!reader->tokens.n) return;
    const es_token *token = &reader->tokens.token[0];
    const es_statement *s = token->key || token->quoted ? NULL : es_statement_find(token->value, token->n_value);
    if (!reader->n_statements++) reader->first_line = reader->line;
    if (s) {
        read_statement(reader, s);
    } else {
        unknown_keyword(reader, token);
        lose_line(reader);
    }
}

/* The plan itself says which language it is in; files it uses may. */
static void check_version(es_reader *reader)
{
    if (reader->file != ES_FILE_PLAN || reader->version_seen || reader->give_up) return;
    if (!reader->n_statements) {
        es_hint(es_syntax(reader, ((earshot_place){ES_FILE_PLAN, 0, 0, 0}), "the plan is empty"),
                "'earshot new' writes a plan to start from");
        return;
    }
    es_hint(es_syntax(reader, ((earshot_place){ES_FILE_PLAN, reader->first_line, 1, 1}),
                      "the plan does not begin with 'plan 1'"),
            "write 'plan 1' on a line of its own above everything else");
}

static void read_lines(es_reader *reader, const es_source *source)
{
    es_lines lines = es_lines_of(source->text, source->size);
    const char *line;
    size_t n;
    while (!reader->memory_out && !reader->give_up && es_next_line(&lines, &line, &n)) {
        reader->line = lines.line;
        read_line(reader, line, n);
    }
    check_version(reader);
}

void es_read_source(es_reader *reader, unsigned file)
{
    const size_t first_use = reader->list[ES_LIST_USE].n;
    const es_source source = reader->sources.item[file];
    reader->file = file;
    reader->storey = -1;
    reader->storey_missed = reader->version_seen = false;
    reader->n_statements = 0;
    read_lines(reader, &source);
    /* Files are used after the lines of their user, so that where a `use` stands makes no difference. */
    const size_t last_use = reader->list[ES_LIST_USE].n;
    for (size_t i = first_use; i < last_use && !reader->memory_out && !reader->give_up; i++) {
        const earshot_use use = *(const earshot_use *)es_list_item(reader, ES_LIST_USE, i);
        es_read_use(reader, &use);
    }
}

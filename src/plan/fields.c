/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "plan/fields.h"

#include <math.h>
#include <string.h>

#include "base/text.h"
#include "base/utf8.h"

const char *es_dimension_noun(es_dimension dimension)
{
    switch (dimension) {
    case ES_LENGTH: return "a length";
    case ES_LEVEL: return "a level in dBm";
    case ES_RATIO: return "a number of dB";
    case ES_GAIN: return "a gain in dBi";
    case ES_FREQUENCY: return "a frequency";
    case ES_SHARE: return "a share in %";
    case ES_TIME: return "a time";
    case ES_CURRENT: return "a current";
    case ES_PLAIN: break;
    }
    return "a number";
}

static bool is_digit(char c)
{
    return c >= '0' && c <= '9';
}

/* "2,5" and "2,5m": how much of Europe writes 2.5. */
static bool has_decimal_comma(const char *text, size_t n)
{
    const char *comma = memchr(text, ',', n);
    return comma && comma > text && is_digit(comma[-1]) && comma + 1 < text + n && is_digit(comma[1]);
}

static bool bad_number(es_reader *reader, const es_field *field, const es_token *token, const char *text, size_t n)
{
    char shown[ES_SHOWN];
    earshot_error *e = es_syntax(reader, es_value_place(reader, token, text, n), "'%s' is not %s",
                                 es_show(shown, text, n), es_dimension_noun(field->dimension));
    if (has_decimal_comma(text, n))
        es_hint(e, "numbers have a decimal point: 2.5, not 2,5");
    else if (field->dimension == ES_PLAIN)
        es_hint(e, "write a number without a unit");
    else
        es_hint(e, "write a number and its unit without a space; units: %s", es_dimension_units(field->dimension));
    return false;
}

static bool bad_unit(es_reader *reader, const es_field *field, const es_token *token, const char *unit, size_t n)
{
    char shown[ES_SHOWN];
    const earshot_place place = es_value_place(reader, token, unit, n);
    earshot_error *e;
    if (has_decimal_comma(unit - 1, n + 1)) {
        e = es_syntax(reader, place, "a comma stands in a number");
        es_hint(e, "numbers have a decimal point: 2.5, not 2,5");
        return false;
    }
    e = es_syntax(reader, place, "'%s' is not a unit of %s", es_show(shown, unit, n),
                  es_dimension_noun(field->dimension));
    es_hint(e, field->dimension == ES_PLAIN ? "leave it out" : "units that fit here: %s",
            es_dimension_units(field->dimension));
    return false;
}

static bool bad_range(es_reader *reader, const es_field *field, const es_token *token, const char *text, size_t n)
{
    char low[ES_QUANTITY_TEXT], high[ES_QUANTITY_TEXT], shown[ES_SHOWN];
    es_quantity_write(low, field->dimension, field->low);
    es_quantity_write(high, field->dimension, field->high);
    const char *what = token->key ? field->key : es_dimension_noun(field->dimension);
    earshot_error *e =
        es_invalid(reader, es_value_place(reader, token, text, n), "%s cannot be '%s'", what, es_show(shown, text, n));
    es_hint(e, "it must be from %s to %s", low, high);
    return false;
}

bool es_read_quantity(es_reader *reader, const es_field *field, const es_token *token, const char *text, size_t n,
                      double *value)
{
    double read;
    size_t at;
    const int wrong = es_quantity_read(text, n, field->dimension, &read, &at);
    if (wrong == 1) return bad_number(reader, field, token, text, n);
    if (wrong) return bad_unit(reader, field, token, text + at, n - at);
    if (!(read >= field->low && read <= field->high)) return bad_range(reader, field, token, text, n);
    *value = read;
    return true;
}

/* Letters, digits, '-' and '_'. Any letter of any script; other signs of Unicode are told apart only roughly. */
static bool is_name_character(uint32_t code)
{
    if (code < 0x80) {
        const char c = (char)code;
        return is_digit(c) || (c >= 'a' && c <= 'z') || (c >= 'A' && c <= 'Z') || c == '-' || c == '_';
    }
    return code >= 0xC0 && code != 0xD7 && code != 0xF7 && !(code >= 0x2000 && code <= 0x2BFF);
}

static size_t name_length(const char *text, size_t n)
{
    size_t at = 0;
    while (at < n) {
        uint32_t code;
        const size_t length = es_utf8_read(text + at, n - at, &code);
        if (!length || !is_name_character(code)) break;
        at += length;
    }
    return at;
}

bool es_read_name(es_reader *reader, const es_token *token, const char *text, size_t n, const char **name)
{
    char shown[ES_SHOWN];
    const earshot_place place = es_value_place(reader, token, text, n);
    if (!n || name_length(text, n) < n) {
        es_hint(es_syntax(reader, place, "'%s' is not a name", es_show(shown, text, n)),
                "a name is a word of letters, digits, '-' and '_'");
        return false;
    }
    if (n > EARSHOT_MAX_NAME) {
        es_hint(es_mistake(&reader->report, EARSHOT_PLAN_LIMIT, place, "the name '%s' is too long",
                           es_show(shown, text, n)),
                "a name has at most %d bytes", EARSHOT_MAX_NAME);
        return false;
    }
    *name = es_keep(reader, text, n);
    return *name != NULL;
}

static bool read_count(es_reader *reader, const es_field *field, const es_token *token, unsigned *value)
{
    double number;
    const es_field whole = {.key = field->key, .dimension = ES_PLAIN, .low = field->low, .high = field->high};
    if (!es_read_quantity(reader, &whole, token, token->value, token->n_value, &number)) return false;
    if (number != floor(number)) {
        char shown[ES_SHOWN];
        es_hint(es_invalid(reader, es_value_place(reader, token, token->value, token->n_value), "%s cannot be '%s'",
                           field->key, es_show(shown, token->value, token->n_value)),
                "it must be a whole number");
        return false;
    }
    *value = (unsigned)number;
    return true;
}

static void hint_choices(earshot_error *e, const es_choice *choice, const char *text, size_t n)
{
    if (!e) return;
    es_nearest nearest = es_nearest_to(text, n);
    earshot_text all = {0};
    for (const es_choice *c = choice; c->word; c++) {
        es_nearest_offer(&nearest, c->word);
        es_text_format(&all, "%s%s", c == choice ? "" : ", ", c->word);
    }
    if (nearest.best)
        es_hint(e, "did you mean '%s'?", nearest.best);
    else if (all.data && !all.failed)
        es_hint(e, "it is one of: %s", all.data);
    earshot_text_clear(&all);
}

static bool read_choice(es_reader *reader, const es_field *field, const es_token *token, unsigned *value)
{
    for (const es_choice *c = field->choice; c->word; c++) {
        if (strlen(c->word) != token->n_value || memcmp(c->word, token->value, token->n_value) != 0) continue;
        *value = c->value;
        return true;
    }
    char shown[ES_SHOWN];
    es_show(shown, token->value, token->n_value);
    const earshot_place place = es_value_place(reader, token, token->value, token->n_value);
    earshot_error *e = field->positional ? es_syntax(reader, place, "unknown kind of device '%s'", shown)
                                         : es_syntax(reader, place, "%s cannot be '%s'", field->key, shown);
    hint_choices(e, field->choice, token->value, token->n_value);
    return false;
}

static bool read_flag(es_reader *reader, const es_field *field, const es_token *token, bool *value)
{
    static const es_choice YES_NO[] = {{"yes", 1}, {"no", 0}, {NULL, 0}};
    const es_field yes_no = {.key = field->key, .choice = YES_NO};
    unsigned read;
    if (!read_choice(reader, &yes_no, token, &read)) return false;
    *value = read;
    return true;
}

static bool bad_point(es_reader *reader, const es_token *token)
{
    char shown[ES_SHOWN];
    es_hint(es_syntax(reader, es_token_place(reader, token), "'%s' is not a point",
                      es_show(shown, token->value, token->n_value)),
            "a point is x,y in metres with decimal points and no space, such as 5.1,4.0");
    return false;
}

static bool read_point(es_reader *reader, const es_field *field, const es_token *token, earshot_point *point)
{
    const char *comma = memchr(token->value, ',', token->n_value);
    if (token->quoted || !comma) return bad_point(reader, token);
    const size_t n_x = (size_t)(comma - token->value), n_y = token->n_value - n_x - 1;
    if (!n_x || !n_y || memchr(comma + 1, ',', n_y)) return bad_point(reader, token);
    const es_field length = {.key = "x or y", .dimension = ES_LENGTH, .low = field->low, .high = field->high};
    return es_read_quantity(reader, &length, token, token->value, n_x, &point->x_m) &&
           es_read_quantity(reader, &length, token, comma + 1, n_y, &point->y_m);
}

static bool collect_point(es_reader *reader, const es_field *field, const es_token *token)
{
    earshot_point point = {0, 0};
    if (!read_point(reader, field, token, &point)) return false;
    void *points = reader->point;
    if (!es_grow(&points, &reader->n_point_room, reader->n_points, sizeof point)) {
        reader->memory_out = true;
        return false;
    }
    reader->point = points;
    reader->point[reader->n_points++] = point;
    return true;
}

static bool too_many_corners(es_reader *reader)
{
    es_hint(es_mistake(&reader->report, EARSHOT_PLAN_LIMIT, es_token_place(reader, &reader->tokens.token[0]),
                       "a polygon of %zu corners", reader->n_points),
            "one polygon has at most %d corners", EARSHOT_MAX_CORNERS);
    return false;
}

bool es_points_end(es_reader *reader, const es_field *field, void *item)
{
    size_t n = reader->n_points;
    const earshot_point *point = reader->point;
    if (field->closed && n > 1 && point[0].x_m == point[n - 1].x_m && point[0].y_m == point[n - 1].y_m) n--;
    if (n < field->least) {
        es_hint(es_syntax(reader, es_end_place(reader), "%zu more point%s expected", field->least - n,
                          field->least - n == 1 ? "" : "s"),
                field->closed ? "a polygon has three corners or more" : "a wall goes from a point to a point");
        return false;
    }
    if (field->closed && n > EARSHOT_MAX_CORNERS) return too_many_corners(reader);
    const earshot_point *kept = es_arena_copy(reader->arena, point, n, sizeof *point);
    if (!kept) {
        reader->memory_out = true;
        return false;
    }
    *(const earshot_point **)((char *)item + field->at) = kept;
    *(size_t *)((char *)item + field->count_at) = n;
    return true;
}

static bool read_text(es_reader *reader, const es_token *token, const char **text)
{
    char *kept = es_arena_take(reader->arena, token->n_value + 1, 1);
    if (!kept) {
        reader->memory_out = true;
        return false;
    }
    if (token->quoted)
        es_unquote(token->value, token->n_value, kept);
    else
        memcpy(kept, token->value, token->n_value);
    *text = kept;
    return true;
}

static bool read_ground(es_reader *reader, const es_token *token, const char **name)
{
    if (token->n_value == 4 && memcmp(token->value, "none", 4) == 0) {
        *name = NULL;
        return true;
    }
    return es_read_name(reader, token, token->value, token->n_value, name);
}

bool es_field_read(es_reader *reader, const es_field *field, const es_token *token, void *item)
{
    void *member = (char *)item + field->at;
    switch (field->type) {
    case ES_FIELD_NAME:
    case ES_FIELD_REFERENCE: return es_read_name(reader, token, token->value, token->n_value, member);
    case ES_FIELD_GROUND: return read_ground(reader, token, member);
    case ES_FIELD_TEXT:
    case ES_FIELD_LABEL: return read_text(reader, token, member);
    case ES_FIELD_QUANTITY: return es_read_quantity(reader, field, token, token->value, token->n_value, member);
    case ES_FIELD_COUNT: return read_count(reader, field, token, member);
    case ES_FIELD_FLAG: return read_flag(reader, field, token, member);
    case ES_FIELD_CHOICE: return read_choice(reader, field, token, member);
    case ES_FIELD_POINT: return read_point(reader, field, token, member);
    case ES_FIELD_POINTS: return collect_point(reader, field, token);
    case ES_FIELD_LAYERS:
    case ES_FIELD_LOSSES:
    case ES_FIELD_SWAPS: return es_list_field_read(reader, field, token, item);
    }
    return false;
}

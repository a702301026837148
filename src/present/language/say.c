/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "present/language/say.h"

#include <math.h>
#include <string.h>

#include "base/number.h"
#include "base/text.h"

#define COUNT(array) (sizeof(array) / sizeof(array)[0])

static const char *const TEXT[EARSHOT_LANGUAGES][ES_MESSAGES] = {{
#define MESSAGE(name, english, german) (english),
#include "present/language/messages.def"
#undef MESSAGE
                                                                 },
                                                                 {
#define MESSAGE(name, english, german) (german),
#include "present/language/messages.def"
#undef MESSAGE
                                                                 }};

typedef struct material_name {
    const char *name, *german;
} material_name;

static const material_name MATERIAL[] = {
#define MATERIAL_NAME(name, german) {name, german},
#include "present/language/materials.def"
#undef MATERIAL_NAME
};

const char *earshot_language_code(earshot_language language)
{
    static const char *const CODE[EARSHOT_LANGUAGES] = {"en", "de"};
    return (unsigned)language < EARSHOT_LANGUAGES ? CODE[language] : NULL;
}

const char *es_message_text(earshot_language language, es_message message)
{
    return TEXT[language][message];
}

void es_say_values(earshot_text *text, earshot_language language, es_message message, const char *const *value,
                   size_t n)
{
    const char *at = TEXT[language][message];
    for (;;) {
        const char *mark = strchr(at, '{');
        if (!mark) break;
        const size_t which = (size_t)(mark[1] - '1');
        es_text_add_bytes(text, at, (size_t)(mark - at));
        if (which < n && value[which]) es_text_add(text, value[which]);
        at = mark + 3;
    }
    es_text_add(text, at);
}

/* A minus sign is wider than a hyphen, and read out as one. */
static void true_minus(char *buffer)
{
    static const char MINUS[] = "\xe2\x88\x92";
    if (buffer[0] != '-') return;
    const size_t length = strlen(buffer);
    if (strspn(buffer + 1, "0.,") == length - 1) {
        memmove(buffer, buffer + 1, length);
        return;
    }
    if (length + sizeof MINUS > ES_SAY_FIGURE) return;
    memmove(buffer + sizeof MINUS - 1, buffer + 1, length);
    memcpy(buffer, MINUS, sizeof MINUS - 1);
}

const char *es_say_figure(char *buffer, earshot_language language, double value, int decimals)
{
    if (!isfinite(value)) return "\xe2\x80\x93";
    es_format(buffer, ES_SAY_FIGURE, "%.*f", decimals, value);
    char *point = strchr(buffer, '.');
    if (point && language == EARSHOT_GERMAN) *point = ',';
    true_minus(buffer);
    return buffer;
}

const char *es_say_length(char *buffer, earshot_language language, double length_m)
{
    char figure[ES_SAY_FIGURE];
    es_format(buffer, ES_SAY_FIGURE, "%s\xc2\xa0m", es_say_figure(figure, language, length_m, length_m < 9.95 ? 1 : 0));
    return buffer;
}

const char *es_say_kind(earshot_language language, earshot_kind kind)
{
    static const es_message KIND[EARSHOT_KINDS] = {
        ES_SAY_KIND_MOVEMENT, ES_SAY_KIND_CONTACT,         ES_SAY_KIND_SHOCK, ES_SAY_KIND_GLASS,  ES_SAY_KIND_SMOKE,
        ES_SAY_KIND_HEAT,     ES_SAY_KIND_CARBON_MONOXIDE, ES_SAY_KIND_GAS,   ES_SAY_KIND_FLOOD,  ES_SAY_KIND_PANIC,
        ES_SAY_KIND_KEYPAD,   ES_SAY_KIND_SOUNDER,         ES_SAY_KIND_FOB,   ES_SAY_KIND_OUTPUT, ES_SAY_KIND_OTHER};
    return TEXT[language][KIND[(unsigned)kind < EARSHOT_KINDS ? kind : EARSHOT_KIND_OTHER]];
}

const char *es_say_verdict(earshot_language language, earshot_verdict verdict)
{
    static const es_message VERDICT[] = {ES_SAY_VERDICT_DIRECT, ES_SAY_VERDICT_REPEATER, ES_SAY_VERDICT_WIRE};
    return TEXT[language][VERDICT[(unsigned)verdict < COUNT(VERDICT) ? verdict : EARSHOT_VERDICT_WIRE]];
}

const char *es_say_material(earshot_language language, const earshot_material *material)
{
    if (language == EARSHOT_GERMAN && material->builtin)
        for (size_t i = 0; i < COUNT(MATERIAL); i++)
            if (strcmp(MATERIAL[i].name, material->name) == 0) return MATERIAL[i].german;
    return material->label ? material->label : material->name;
}

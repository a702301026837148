/* SPDX-License-Identifier: GPL-3.0-or-later */
/* A locale that writes 2,5 for 2.5, for tests of what must not depend on it. Include after support/check.h, in a file
 * that defines _POSIX_C_SOURCE 200809L first. */
#ifndef TEST_COMMA_LOCALE_H
#define TEST_COMMA_LOCALE_H

#include <locale.h>
#include <stdio.h>

/* The first such locale that this machine has, made the thread's; 0 when it has none. */
static inline locale_t enter_comma_locale(void)
{
    static const char *const NAMES[] = {"de_DE.UTF-8", "de_DE.utf8",  "fr_FR.UTF-8", "fr_FR.utf8", "es_ES.UTF-8",
                                        "it_IT.UTF-8", "nl_NL.UTF-8", "pl_PL.UTF-8", "de_DE",      "fr_FR"};
    for (size_t i = 0; i < sizeof NAMES / sizeof NAMES[0]; i++) {
        const locale_t locale = newlocale(LC_ALL_MASK, NAMES[i], (locale_t)0);
        if (!locale) continue;
        char text[8];
        const locale_t before = uselocale(locale);
        snprintf(text, sizeof text, "%.1f", 2.5);
        if (text[1] == ',') return locale;
        uselocale(before);
        freelocale(locale);
    }
    print_message("skipped: this machine has no locale with a decimal comma (such as de_DE.UTF-8)\n");
    return (locale_t)0;
}

static inline void leave_comma_locale(locale_t locale)
{
    uselocale(LC_GLOBAL_LOCALE);
    freelocale(locale);
}

#endif

/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "survey/date.h"

#include <string.h>

#include "base/number.h"
#include "earshot/survey.h"

enum { FIRST_YEAR = 1970, LAST_YEAR = 2199 };

static bool is_leap(long year)
{
    return (year % 4 == 0 && year % 100 != 0) || year % 400 == 0;
}

static long days_of_month(long year, long month)
{
    static const int DAYS[12] = {31, 28, 31, 30, 31, 30, 31, 31, 30, 31, 30, 31};
    return DAYS[month - 1] + (month == 2 && is_leap(year));
}

static long days_of_year(long year)
{
    return is_leap(year) ? 366 : 365;
}

static bool digits(const char *text, size_t n, long *value)
{
    *value = 0;
    for (size_t i = 0; i < n; i++) {
        if (text[i] < '0' || text[i] > '9') return false;
        *value = *value * 10 + (text[i] - '0');
    }
    return true;
}

bool es_date_read(const char *text, size_t n, long *day)
{
    long year, month, in_month;
    if (n != 10 || text[4] != '-' || text[7] != '-') return false;
    if (!digits(text, 4, &year) || !digits(text + 5, 2, &month) || !digits(text + 8, 2, &in_month)) return false;
    if (year < FIRST_YEAR || year > LAST_YEAR || month < 1 || month > 12) return false;
    if (in_month < 1 || in_month > days_of_month(year, month)) return false;
    *day = in_month - 1;
    for (long y = FIRST_YEAR; y < year; y++) *day += days_of_year(y);
    for (long m = 1; m < month; m++) *day += days_of_month(year, m);
    return true;
}

void earshot_day_text(long day, char *text)
{
    long year = FIRST_YEAR, month = 1;
    if (day < 0) {
        text[0] = '\0';
        return;
    }
    while (day >= days_of_year(year)) day -= days_of_year(year++);
    while (day >= days_of_month(year, month)) day -= days_of_month(year, month++);
    es_format(text, EARSHOT_DATE, "%04ld-%02ld-%02ld", year, month, day + 1);
}

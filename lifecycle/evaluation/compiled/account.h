/* The account of an alternative: `renewal` and `ledger` in the numpy form.

The standing roof's lines count to the month of sale. Those of a roof that follows count so far as it is laid
early enough: entry t of a line, to a sale in month H, by the discounted number of roofs laid by month H - t.
*/

typedef struct {                                  /* an alternative while its account is made up */
    Room *room;
    const Spell *spell;
    const Result *own, *new;                      /* the standing roof, the one that follows */
    const Way *way;
    int months, years, entries;
    Draws holding;                                /* month of the sale at the end of the holding period */
} Account;

/* Sum of a line of the standing roof to the holding period. */
static Draws own_to_holding(const Account *a, const Draws *line)
{
    Draws sum = {0};
    for (int t = 0; t <= a->months; t++) sum += choose((Flags)(all(t) <= a->holding), line[t], all(0.0));
    return sum;
}

/* Sum of a line of the roofs that follow to the holding period, at a rate of escalation. */
static Draws new_to_holding(const Account *a, const Draws *line, int rate)
{
    const Draws *weight = a->room->weight + rate * a->entries;
    Draws sum = {0};
    for (int t = 0; t <= a->months; t++) sum += weight[t] * line[t];
    return sum;
}

/* The month that lies so many months before the sale at the end of each lane's holding period. */
static void months_before_holding(const Room *room, int months, int *month)
{
    EACH_LANE month[lane] = room->holding[lane] - months;
}

/* Roofs laid: the first by the end of the standing roof, each later one by the end of the one before. */
static void lay_roofs(const Account *a)
{
    Draws *laid = a->room->laid;
    for (int t = 0; t <= a->months; t++) {
        laid[t] = a->own->renewed[t];
        if (t == a->spell->planned) laid[t] += a->own->changed;
        if (t > 0) laid[t] += convolved(a->new->renewed + 1, laid, t - 1);
    }
    for (int rate = 0; rate < a->room->of->sizes->rates; rate++) {
        const int at = rate * a->entries;
        Draws *running = a->room->running + at, sum = {0};
        for (int t = 0; t <= a->months; t++) running[t] = sum += laid[t] * a->room->factor[at + t];
        for (int t = 0; t <= a->months; t++) {
            int laid_by[LANES];
            months_before_holding(a->room, t, laid_by);
            a->room->weight[at + t] = picked(running, laid_by, 0);
        }
    }
}

/* Add a line of both roofs to totals by year, and return it to the holding period. */
static Draws add_line(const Account *a, const Draws *own, const Draws *new, int rate, Draws *total)
{
    Draws sum = own[0];
    for (int year = 1; year <= a->years; year++) {
        for (int t = 12 * year - 11; t <= 12 * year; t++) sum += own[t];
        total[year] += sum + convolved(new, a->room->running + rate * a->entries, 12 * year);
    }
    return own_to_holding(a, own) + new_to_holding(a, new, rate);
}

/* Add to totals by year, and return to the holding period, the money lines of one rate of escalation. */
static Draws add_lines(const Account *a, int rate, Draws *total)
{
    const Case *of = a->room->of;
    Draws *own = a->room->own, *new = a->room->following;
    memset(own, 0, (size_t)a->entries * sizeof(Draws));
    memset(new, 0, (size_t)a->entries * sizeof(Draws));
    int lines = 0;
    for (int line = 0; line < of->sizes->money_lines; line++) {
        if (of->rates[line] != rate) continue;
        lines++;
        for (int t = 0; t <= a->months; t++) {
            own[t] += a->own->lines[line * a->entries + t];
            new[t] += a->new->lines[line * a->entries + t];
        }
    }
    if (lines == 0) return all(0.0);
    return add_line(a, own, new, rate, total);
}

/* Mass renewed in step 2 of a month: a new roof is sold, if the sale falls on it. */
static inline Draws renewed_before_sale(const Result *spell, int t)
{
    return spell->renewed[t] - spell->renewed_after[t];
}

/* The sale by year: the roof that stands, new ones some months old, one laid in step 2 of the month. */
static void add_sales(const Account *a, Draws *total)
{
    const Draws sold_new = a->new->found_at_sale[0] - a->new->residual[0];
    Draws *net = a->room->net;
    for (int t = 0; t <= a->months; t++)
        net[t] = a->new->found_at_sale[t] - a->new->residual[t] + renewed_before_sale(a->new, t) * sold_new;
    for (int year = 1; year <= a->years; year++) {
        const int t = 12 * year;
        const Draws standing = a->own->found_at_sale[t] - a->own->residual[t];
        const Draws laid_now = renewed_before_sale(a->own, t) * sold_new;
        total[year] += (standing + convolved(net + 1, a->room->laid, t - 1) + laid_now) * a->room->factor[t];
    }
}

/* One part of the sale at the end of the holding period, discounted. */
static Draws sale_at_holding(const Account *a, const Draws *own, const Draws *new)
{
    const int *holding = a->room->holding;
    const Draws laid_now =
        picked(a->own->renewed, holding, 0) - picked(a->own->renewed_after, holding, 0);
    Draws sum = picked(own, holding, 0) + laid_now * new[0];
    for (int t = 1; t <= a->months; t++) {
        int laid_in[LANES];
        months_before_holding(a->room, t, laid_in);
        sum += picked(a->room->laid, laid_in, 0) * (new[t] + renewed_before_sale(a->new, t) * new[0]);
    }
    return sum * picked(a->room->factor, holding, 0);
}

/* Chance of an unplanned new roof by a sale in a month, for a roof that starts in month 0. */
static Draws renewed_by(const Result *spell, int month)
{
    Draws sum = -spell->renewed_after[month];
    for (int t = 0; t <= month; t++) sum += spell->renewed[t];
    return sum;
}

/* First changes, by year and to the holding period. */
static void keep_first_changes(const Account *a)
{
    const Draws *changes = a->own->lines + a->room->of->lines->first_changes * a->entries;
    keep(a->room, a->way->first_change_at_holding, own_to_holding(a, changes));
    Draws sum = changes[0];
    keep(a->room, a->way->first_change, all(0.0));
    for (int year = 1; year <= a->years; year++) {
        for (int t = 12 * year - 11; t <= 12 * year; t++) sum += changes[t];
        keep(a->room, a->way->first_change + year, sum);
    }
}

/* The lines that are no part of the totals, each by year and to the holding period. */
static void keep_apart(const Account *a)
{
    const Case *of = a->room->of;
    const Way *way = a->way;
    Draws *total = a->room->total;
    for (int i = 0; i < way->aparts; i++) {
        const int line = of->apart_lines[way->apart + i], at = line * a->entries;
        const int by_year = way->apart_by_year + i * (a->years + 1);
        memset(total, 0, (size_t)(a->years + 1) * sizeof(Draws));
        const Draws sum = add_line(a, a->own->lines + at, a->new->lines + at, of->rates[line], total);
        keep(a->room, way->apart_at_holding + i, sum);
        for (int year = 0; year <= a->years; year++) keep(a->room, by_year + year, total[year]);
    }
}

/* The chance of an unplanned new roof by year, and every line to the holding period. */
static void keep_parts(const Account *a)
{
    const Case *of = a->room->of;
    const int planned = a->spell->planned;
    keep(a->room, a->way->chance_renewed, all(0.0));
    for (int year = 1; year <= a->years; year++) {
        Draws by_then = renewed_by(a->own, 12 * year);
        if (planned >= 0 && 12 * year >= planned)
            by_then += a->own->changed * renewed_by(a->new, 12 * year - planned);
        keep(a->room, a->way->chance_renewed + year, by_then);
    }
    for (int line = 0; line < of->sizes->lines; line++) {
        const int at = line * a->entries;
        keep(a->room, a->way->by_line + line, own_to_holding(a, a->own->lines + at)
                                            + new_to_holding(a, a->new->lines + at, of->rates[line]));
    }
}

static void account(Room *room, const Way *way)
{
    const Sizes *sizes = room->of->sizes;
    Account a = {room, &room->of->spells[way->existing], &room->results[sizes->new_roofs],
                 &room->results[way->following], way, sizes->months, sizes->years, sizes->months + 2,
                 all(0.0)};
    EACH_LANE a.holding[lane] = room->holding[lane];
    lay_roofs(&a);
    Draws *total = room->total, at_holding = {0};
    memset(total, 0, (size_t)(a.years + 1) * sizeof(Draws));
    for (int rate = 0; rate < sizes->rates; rate++) at_holding += add_lines(&a, rate, total);
    add_sales(&a, total);
    for (int year = 0; year <= a.years; year++) keep(room, way->by_year + year, total[year]);

    const Draws found = sale_at_holding(&a, a.own->found_at_sale, a.new->found_at_sale);
    const Draws residual = sale_at_holding(&a, a.own->residual, a.new->residual);
    keep(room, way->at_holding, at_holding + found - residual);
    keep(room, way->found_at_sale, found);
    keep(room, way->residual, residual);
    keep_first_changes(&a);
    keep_apart(&a);
    if (way->by_line >= 0) keep_parts(&a);
}

package registry

import "context"

// CountAssays returns the number of assays that a filter lets pass.
func (r *Registry) CountAssays(ctx context.Context, f Filter) (n int, err error) {
	where, args := f.condition()
	err = r.db.QueryRowContext(ctx, "SELECT count(*) FROM ("+newest+where+")", args...).Scan(&n)
	return n, r.fail("counting assays", err)
}

package hub

import (
	"net/http"
	"strings"
)

// origins are the hosts whose pages may use the sockets, beside the hub's own. The
// page of one hub goes on at another one that shares its groups.
func (h *Hub) origins(r *http.Request) []string {
	if r.Header.Get("Origin") == "" { // a program
		return nil
	}
	all := append([]string(nil), h.o.Origins...)
	if s, ok := h.src.(sharing); ok {
		for _, host := range s.Hosts() {
			all = append(all, literal(host))
		}
	}
	return all
}

// literal is a pattern that only host matches.
func literal(host string) string {
	return strings.NewReplacer(`\`, `\\`, `*`, `\*`, `?`, `\?`, `[`, `\[`).Replace(host)
}

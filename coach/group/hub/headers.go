package hub

import "net/http"

// pageHeaders hold on every page: nothing from elsewhere is loaded or run, no
// other site shows the page, and only the page itself may use the microphone and
// the motion sensors. Older browsers do not take 'self' for a socket, hence ws:
// and wss:.
var pageHeaders = map[string]string{
	"Content-Security-Policy": "default-src 'self'; script-src 'self' 'wasm-unsafe-eval'; connect-src 'self' ws: wss:; " +
		"img-src 'self' data:; object-src 'none'; base-uri 'none'; form-action 'self'; frame-ancestors 'none'",
	"X-Content-Type-Options":       "nosniff",
	"Referrer-Policy":              "no-referrer",
	"Permissions-Policy":           "microphone=(self), accelerometer=(self), gyroscope=(self), screen-wake-lock=(self), camera=(), geolocation=()",
	"Cross-Origin-Opener-Policy":   "same-origin",
	"Cross-Origin-Resource-Policy": "same-origin",
}

// safePages adds the headers to what pages answers.
func safePages(pages http.Handler) http.Handler {
	return http.HandlerFunc(func(w http.ResponseWriter, r *http.Request) {
		for name, value := range pageHeaders {
			w.Header().Set(name, value)
		}
		pages.ServeHTTP(w, r)
	})
}

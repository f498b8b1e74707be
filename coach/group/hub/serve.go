package hub

import (
	"context"
	"crypto/tls"
	"errors"
	"io"
	"log"
	"net"
	"net/http"
	"time"
)

// Serve answers on l, by TLS when config is not nil, until ctx ends; then it
// closes the hub and the listener. It returns nil then, else what was wrong with
// the listener.
func (h *Hub) Serve(ctx context.Context, l net.Listener, config *tls.Config) error {
	protocols := new(http.Protocols)
	protocols.SetHTTP1(true) // a WebSocket takes over its connection, which HTTP/2 shares
	server := &http.Server{
		Handler:           h,
		TLSConfig:         config,
		Protocols:         protocols,
		ReadHeaderTimeout: 5 * time.Second,
		ReadTimeout:       10 * time.Second,
		WriteTimeout:      60 * time.Second,
		IdleTimeout:       60 * time.Second,
		MaxHeaderBytes:    16 << 10,
		ErrorLog:          log.New(io.Discard, "", 0), // strangers' broken requests
	}
	ended := make(chan struct{})
	stop := context.AfterFunc(ctx, func() {
		defer close(ended)
		h.Close()
		grace, cancel := context.WithTimeout(context.Background(), 2*time.Second)
		defer cancel()
		if server.Shutdown(grace) != nil {
			server.Close()
		}
	})
	l = newDoor(l, h)
	var err error
	if config != nil {
		err = server.ServeTLS(l, "", "")
	} else {
		err = server.Serve(l)
	}
	if !stop() {
		<-ended
	} else {
		h.Close()
		server.Close()
	}
	if errors.Is(err, http.ErrServerClosed) {
		return nil
	}
	return err
}
